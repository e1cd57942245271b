"""Clips of the practical with known truth: simulated, drawn and encoded by the tests.

Nothing here imports ``vision``: the picture and the reader must not share a mistake.

Frames of reference, metres: world ``X`` right, ``Y`` away from the camera, ``Z`` up,
the origin on the table at the middle of the hinge.  The *practical* frame has ``x``
up the slope: it is the world, mirrored in ``X`` when the left side is lifted.
"""
