"""From a sewing to its needle points: fill, column, running line, underlay and the joins between them."""
