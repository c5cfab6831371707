"""A covered plate of two loops, one channel each, as a parameter file that tests change."""

from __future__ import annotations

TEXT = """\
job: board
loops: {warm: {}, cool: {tint: sky}}
plates:
  board:
    stock: {material: pom-c, thickness: 25}
    outline: {length: 220, width: 140}
    covers:
      seal:
        stock: {thickness: 10}
        screws: {thread: M3, pitch: 40, head: on-top}
    ports:
      - {name: in, loop: warm, on: cover, at: [-80, 30], thread: G1/8}
      - {name: out, loop: warm, on: cover, at: [80, 30], thread: G1/8}
      - {name: a, loop: cool, on: cover, at: [-80, -30], thread: G1/8}
      - {name: b, loop: cool, on: cover, at: [80, -30], thread: G1/8}
    channels:
      - {name: run, loop: warm, joins: [in, out]}
      - {name: back, loop: cool, joins: [a, b]}
"""
