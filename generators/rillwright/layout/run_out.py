"""How much of a blind bore is full thread: a tap does not cut to the floor. Lengths in mm."""

from __future__ import annotations

from ..standards import threads

RUN_OUT = 3.0  # pitches of bore below the last full thread; DIN 76 asks for about as much, from memory


def full_thread(thread: str, bore: float) -> float:
    """Length of full thread in a blind bore of this depth, mm; 0 in one too short for any."""
    return max(0.0, bore - RUN_OUT * threads.metric(thread).pitch)
