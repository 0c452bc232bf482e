"""How each part is sewn: the trade's bands of drawn width, with the shape and what lies around it."""
