"""Compiled functions give what Python gives, and run where nothing can be kept as well."""

from __future__ import annotations

from threading import Thread

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import lfilter

from solver.compiled import compiled


@compiled
def _run_on(values, share, out):
    held = 0.0
    for k in range(len(values)):
        held += share * (values[k] - held)
        out[k] = held


@compiled
def _over(a, b):
    return a / b


@given(st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=20), st.floats(0.01, 0.99))
def test_a_loop_does_what_the_library_does(values, share):
    out = np.empty(len(values))
    _run_on(np.array(values), share, out)
    assert out == pytest.approx(lfilter([share], [1, share - 1], values), abs=1e-9)


def test_it_divides_by_zero_as_numpy_does():
    assert _over(1.0, 0.0) == np.inf and np.isnan(_over(0.0, 0.0))


def test_without_a_file_to_keep_it_beside_it_is_compiled_all_the_same():
    made: dict = {}
    exec("def twice(x):\n    return 2 * x", made)
    assert compiled(made["twice"])(21) == 42


def test_many_threads_may_call_it_first():
    """Each gets what Python gives, whoever has it compiled."""
    fresh, out = compiled(_over.py_func), np.zeros(8)

    def call(k: int) -> None:
        out[k] = fresh(float(k), 2.0)

    threads = [Thread(target=call, args=(k,)) for k in range(len(out))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert out == pytest.approx(np.arange(8) / 2)
