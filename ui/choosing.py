"""The first two steps of 'Read a clip': which clip, and what its rim measures."""

from __future__ import annotations

from math import pi

import streamlit as st
from uncertainties import nominal_value

from solver.errors import ClipError, InputError
from solver.quantities import DEGREE, MILLIMETRE, Quantity
from ui.desk import Request, upload_folder
from ui.inputs import RADIUS_U_M, Rim, rim_radius, start_tilt
from ui.samples import Sample, samples
from ui.uploads import LARGEST_UPLOAD_MB, SUFFIXES, KeptClip, at_hand, keep
from ui.words import SYNTHETIC, as_text, unit_doubt
from vision.reading import ClipSetup

OWN, SAMPLE = "Your own clip", "A sample"
IN_RADII = {Rim.RADIUS: 1.0, Rim.DIAMETER: 2.0, Rim.CIRCUMFERENCE: 2 * pi}


def choose_clip() -> tuple[KeptClip | None, Sample | None]:
    """The clip to read, and the sample it is, if it is one."""
    source = st.radio("Which clip?", [OWN, SAMPLE], horizontal=True, label_visibility="collapsed")
    if source == OWN:
        return _upload(), None
    chosen = st.selectbox("Sample", samples(), format_func=lambda sample: sample.title)
    st.caption(f"{as_text(chosen.shows.capitalize())}. {SYNTHETIC}")
    return _sample_clip(chosen), chosen


def _sample_clip(sample: Sample) -> KeptClip | None:
    try:
        return at_hand(sample.path)
    except OSError:
        st.error(
            f"{as_text(sample.path.name)} has gone from this machine. Install Brinkangle again, "
            "or upload a clip."
        )
        return None


def _upload() -> KeptClip | None:
    round_number = st.session_state.get("upload round", 0)
    upload = st.file_uploader(
        "Clip from a phone",
        type=list(SUFFIXES),
        key=f"upload-{round_number}",
        help=f"Up to {LARGEST_UPLOAD_MB} MB and 10 minutes. It stays on this machine.",
    )
    if upload is None:
        return None
    kept: dict[str, KeptClip] = st.session_state.setdefault("uploads", {})
    if upload.file_id not in kept:
        try:
            kept[upload.file_id] = keep(upload.name, upload.getbuffer(), upload_folder())
        except ClipError as error:
            st.error(as_text(str(error)))
            return None
        except OSError as error:
            st.error(
                f"The clip could not be kept: {as_text(str(error.strerror))}. Free some space."
            )
            return None
    return kept[upload.file_id]


def ask_rim(sample: Sample | None) -> tuple[Quantity, float] | None:
    """Base radius (m) and start tilt (degrees), or None while they are wanting."""
    rim = (
        st.segmented_control(
            "You measured its", list(Rim), default=Rim.RADIUS, format_func=str.capitalize, key="rim"
        )
        or Rim.RADIUS
    )
    known = None if sample is None else sample.radius_m * IN_RADII[rim] / MILLIMETRE.in_si
    name = "own" if sample is None else sample.path.stem
    left, right = st.columns(2)
    length = left.number_input(
        f"{rim.capitalize()} / mm",
        value=None if known is None else round(known, 1),
        step=0.5,
        format="%.2f",
        placeholder="such as 36.5",
        key=f"length-{rim}-{name}",
        help="Of the rim that touches the board: not of the lid, nor of a bead above the rim.",
    )
    spread = right.number_input(
        "Standard uncertainty / mm",
        value=RADIUS_U_M / MILLIMETRE.in_si,
        min_value=0.0,
        step=0.1,
        format="%.2f",
        key=f"spread-{rim}",
        help="How far off the length may be, typically: about 0.3 for a ruler read to ±0.5 mm.",
    )
    start = st.columns(2)[0].number_input(
        "Tilt at the start / °",
        value=0.0 if sample is None else float(sample.start_tilt_deg),
        step=0.5,
        format="%.1f",
        key=f"start-{name}",
        help="0 when the board lies on a level table in the first moments; taken as ±0.2°.",
    )
    if length is None:
        return None
    try:
        radius_m = rim_radius(rim, length * MILLIMETRE.in_si, spread * MILLIMETRE.in_si)
        start_tilt(start * DEGREE.in_si)
    except InputError as error:
        st.error(as_text(str(error)))
        return None
    if doubt := unit_doubt(radius_m):
        st.warning(as_text(doubt))
    return radius_m, start


def request_of(clip: KeptClip, radius_m: Quantity, start_deg: float) -> Request:
    """What the Measure button asks for."""
    tilt = start_tilt(start_deg * DEGREE.in_si)
    return Request(clip, radius_m, ClipSetup(float(nominal_value(radius_m)), tilt))
