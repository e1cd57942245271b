"""Say so where the picture does not settle how the camera stood.

What the picture leaves open is filled in by what is known of phones in general (the
priors of vision.fit); the interval carries that already. Here it is put into words.
"""

from __future__ import annotations

from math import degrees, sqrt

import numpy as np
from numpy.typing import NDArray

from vision.budget import Picture
from vision.fit import POSE_U

Floats = NDArray[np.float64]

NAMED = (
    "how far the camera looks down",
    "how far the camera stands off square",
    "how far the camera is rolled",
    "the camera's focal length",
)
HARDLY_NARROWER = 0.8
MUCH = 0.25
"""Of the variance of the angle. Both are a judgement. In 200 clips and scenes that were read
the first was passed by focal lengths alone, which took up to 0.02 of the variance; where
nothing but the board's near edge was found, by pitch, yaw and focal length, which took 0.6
and more."""


def unsettled(picture: Picture, time_s: float, u_rad: float) -> tuple[str, ...]:
    """A sentence where the camera is known hardly better than beforehand, and it matters.

    Parameters
    ----------
    picture : the fitted motion's
    time_s : the moment whose tilt is told
    u_rad : standard uncertainty of that tilt, from all sources
    """
    open_ = np.flatnonzero(picture.camera_narrowing(POSE_U) > HARDLY_NARROWER)
    cost_rad = picture.cost_rad(picture.row_at(time_s), open_)
    if not len(open_) or cost_rad**2 < MUCH * u_rad**2:
        return ()
    *others, last = (NAMED[k] for k in open_)
    named = " and ".join([", ".join(others), last] if others else [last])
    without = sqrt(u_rad**2 - cost_rad**2)
    return (
        f"The picture does not settle {named}; what is usual for phones was taken instead. That "
        f"widens the interval from ± {2 * degrees(without):.1f}° to ± {2 * degrees(u_rad):.1f}°. "
        "Come closer, have the board's far edge and the body's outlines in sight as well, and lay "
        "the phone square to the board.",
    )
