"""Edge balance: the centre by sliding a body over a table's edge, beside toppling."""

from __future__ import annotations

import streamlit as st
from uncertainties import nominal_value

from solver.edge_balance import MILLIMETRE_RULE_U_M, Balance, End, Overhang, balanced_centre
from solver.errors import InputError
from solver.quantities import MILLIMETRE, Quantity, a_length
from solver.repeats import Repeats, compare
from solver.worked_bodies import balance_of
from ui.answer import reckoned
from ui.bench.balance_drawing import drawn, plain_outline
from ui.bench.balance_words import length_doubts, mean_words, scatter_words
from ui.bench.bench_body import body_in_hand
from ui.bench.body_drawing import as_drawn
from ui.bench.body_form import numbers_in
from ui.bench.carried import carried
from ui.bench.charts import Method, methods_chart
from ui.bench.fields import Shown, fill, one_of
from ui.bench.sheet import BodySheet, Number, in_mm
from ui.bench.showing import answer_beside_form, cautions, drawing, metrics, warn, workings
from ui.bench.words import compared, from_interval
from ui.sharing.visitors import guard
from ui.words import as_text

BY_BALANCE, BY_TOPPLING, BY_PARTS = "by balancing", "by toppling", "predicted from parts"
NOT_YET, TYPED, CLIP = "Not yet", "Typed in", "From the clip"


def show() -> None:
    """The page from top to bottom."""
    guard("edge_balance")
    st.title("Edge balance", anchor=False)
    st.markdown(
        "Lay the body on its side and slide it over a table's edge until it is about to tip: its "
        "centre is then over the line where the flat ends. A second way to the same centre."
    )
    sheet = body_in_hand()
    answer, form = answer_beside_form()
    try:
        with form:
            balance, readings = _ask_balance(sheet)
            toppled = _ask_toppling()
        centre = balanced_centre(balance, readings) if readings else None
    except InputError as error:
        answer.error(as_text(str(error)))
        cautions("balance")
        return
    with answer:
        warn(length_doubts(in_mm(balance.length_m)))
        if centre is None:
            _predict(sheet, balance)
        else:
            _answer(sheet, balance, readings, centre)
    if centre is not None:
        st.divider()
        _compare(sheet, centre, readings, balance, toppled)
        workings([balance_of(balance, readings)])
    cautions("balance")


def _ask_balance(sheet: BodySheet) -> tuple[Balance, list[Overhang]]:
    ask = Shown()
    top = Number(round(in_mm(sheet.whole().top_m), 1), 0.3)
    length = ask.measure(
        "Length of the body, base to top", "mm", f"balance length {sheet.name}", top,
        (20.0, 400.0), 0.5,
    )  # fmt: skip
    edge = ask.measure(
        "Radius of the table's edge", "mm", "balance edge", Number(2.0, 0.5), (0.0, 20.0), 0.5,
        "Of the rounding between top and face; 0 for a sharp edge. Compare it with a coin's.",
    )  # fmt: skip
    readings = _ask_readings(sheet, edge.value)
    with ask.row():
        reading_u = ask.number(
            "One reading, ± u / mm", "balance reading", round(MILLIMETRE_RULE_U_M * 1e3, 2), 0.05
        )
        scale_u = ask.number("Zero of the rule, ± u / mm", "balance zero", 0.2, 0.05)
    mm = MILLIMETRE.in_si
    a_length(reading_u * mm, "uncertainty of one reading", ends="[)")
    a_length(scale_u * mm, "uncertainty of the rule's zero", ends="[)")
    balance = Balance(
        length.mm("length of the body"),
        edge.mm("radius of the table's edge"),
        scale_u * mm,
        reading_u * mm,
    )
    return balance, readings


def _ask_readings(sheet: BodySheet, edge_mm: float) -> list[Overhang]:
    ask, key = Shown(), f"balance {sheet.name}"
    st.markdown("**Overhangs at the point of tipping / mm**")
    readings = []
    for end in End:
        typed = ask.area(
            f"With the {end} over the edge", f"{key} {end}", "", "Numbers with blanks between them."
        )
        readings += [
            Overhang(mm * MILLIMETRE.in_si, end)
            for mm in numbers_in(typed, f"Overhangs with the {end} over the edge")
        ]
    if not readings:
        centre = in_mm(sheet.whole().centre_height_m) - edge_mm
        invented = "  ".join(f"{centre + off:.1f}" for off in (-0.4, 0.6, 0.1))
        st.button(
            "Try it with invented readings", on_click=fill, args=(f"{key} {End.BASE}", invented)
        )
    return readings


def _ask_toppling() -> Quantity | None:
    measured = carried()
    options = ([CLIP] if measured else []) + [NOT_YET, TYPED]
    how = one_of("Its centre by toppling", "balance toppling", options)
    if how == CLIP and measured:
        st.caption(as_text(measured.name))
        return measured.height_m
    if how != TYPED:
        return None
    with Shown().row():
        height = Shown().number("Centre height by toppling / mm", "balance toppled", 57.0, 0.1)
        u95 = Shown().number("± 95 % / mm", "balance toppled u", 1.0, 0.1)
    mm = MILLIMETRE.in_si
    a_length(u95 * mm, "interval of the centre by toppling", ends="[)")
    return from_interval(a_length(height * mm, "centre height by toppling"), u95 * mm)


def _predict(sheet: BodySheet, balance: Balance) -> None:
    """Before there are readings: what the body's parts say they will be."""
    centre, edge = in_mm(sheet.whole().centre_height_m), in_mm(balance.edge_radius_m)
    metrics([("Predicted overhang of the base", f"{centre - edge:.1f} mm")])
    st.caption(f"From the parts of the {as_text(sheet.name)}. Balance it, and type what you read.")
    _draw(sheet, balance, centre, End.BASE)


def _answer(sheet: BodySheet, balance: Balance, readings: list[Overhang], centre: Repeats) -> None:
    metrics([("Its centre is up at", mean_words(centre))])
    st.caption(scatter_words(centre) + " ± gives the 95 % interval.")
    _draw(sheet, balance, in_mm(centre.mean), readings[0].end)


def _draw(sheet: BodySheet, balance: Balance, centre_mm: float, end: End) -> None:
    length, edge = in_mm(balance.length_m), in_mm(balance.edge_radius_m)
    known = abs(length - in_mm(sheet.whole().top_m)) < 1
    outline = as_drawn(sheet) if known else plain_outline(length)
    drawing(drawn(outline, length, centre_mm, edge, end))


def _compare(
    sheet: BodySheet,
    centre: Repeats,
    readings: list[Overhang],
    balance: Balance,
    toppled: Quantity | None,
) -> None:
    st.subheader("Beside the other ways", anchor=False)
    ways = [Method(BY_BALANCE, centre.mean, centre.u95)]
    predicted = sheet.whole().centre_height_m
    for name, height in ((BY_TOPPLING, toppled), (BY_PARTS, predicted)):
        if height is None:
            continue
        ways.append(Method(name, height, reckoned(height).half_width))
        agreement = compare(centre.mean, height)
        st.markdown("- " + as_text(compared("by balancing", name, agreement)))
    singles = [float(nominal_value(balanced_centre(balance, [r]).mean)) for r in readings]
    st.altair_chart(methods_chart(ways, singles))
    st.caption(
        "Dots with 95 % intervals; the small upright ticks are the single readings. Predicted is "
        f"the {as_text(sheet.name)} of 'Build a body', with all that is in it."
    )


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
