"""Hypothesis without a clock: a shared or busy machine must not fail a property."""

from hypothesis import settings

settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")
