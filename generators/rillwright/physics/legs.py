"""Passages as legs between nodes: what flow is solved for. SI units: m."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .friction import Section

Vec3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Bend:
    """A turn within a leg, rounded or sharp."""

    angle: float  # rad
    radius: float  # of the middle line, m; 0 for a sharp corner


@dataclass(frozen=True, slots=True)
class Leg:
    """A passage of one section from node to node. `leaves` and `arrives` point from its ends into it (unit vectors)."""

    name: str
    start: str
    end: str
    length: float  # m
    section: Section
    roughness: float  # m
    leaves: Vec3 = (1.0, 0.0, 0.0)
    arrives: Vec3 = (-1.0, 0.0, 0.0)
    bends: tuple[Bend, ...] = ()
    extra: float = 0.0  # a further K on its own velocity


@dataclass(frozen=True, slots=True)
class Net:
    """Legs, and what kind of node each is: a meeting of bores, a space so wide that velocity is lost in it, an end."""

    legs: tuple[Leg, ...]
    kinds: dict[str, Literal["meeting", "plenum", "end"]]
