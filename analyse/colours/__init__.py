"""Which flat colours are in a picture, and which pixel shows which."""
