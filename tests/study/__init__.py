"""How far the angle is from the truth over many random scenes, and whether it knows.

First as geometry without pixels: edges are made as the reader would measure them, and
everything after the measuring of edges is the reader's own. Then a few scenes are drawn,
encoded and measured from the file.
"""
