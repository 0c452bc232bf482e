"""How wide is each region along its way: centrelines, sides, junctions and cuts."""
