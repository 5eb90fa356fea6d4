"""A chip antenna and a radio module on a layout, for tests of the room round them."""

from __future__ import annotations

from boards import make_board
from counterpoise.model.layout import Layout
from counterpoise.model.verdicts import Fail, Verdict
from layouts import layout
from rules import verdicts

WIRING = "AE1 2.4GHz ANT : 1/FEED=RF 2=~\nU1 RADIO QFN : 1/ANT=RF 2/GND=GND 3/SDA=SDA\n"
FACTS = '[parts.AE1]\nrole = "antenna"\n[parts.U1]\nrole = "radio"\n'

# Body 4 x 2 mm with its feed at the left end: the zone that a margin of 3 mm gives is 7 x 8 mm,
# x 18 to 25 and y 16 to 24.
CHIP = """
board 40 x 40
part AE1 at 20 20 "ANT"
  pad 1 rect 1 x 2 at -2 0 net=RF
  pad 2 rect 1 x 2 at 1.5 0
  body -2 -1 2 1
"""
# The sheet's zone: 8 x 4 mm, along the body.
STATED = FACTS.replace('"antenna"\n', '"antenna"\nclear_length = "8 mm"\nclear_width = "4 mm"\n', 1)
# A radio module 10 x 20 mm whose upper 4 mm no pad reaches: 40 mm2, x 15 to 25 and y 10 to 14.
MODULE = """
board 40 x 40
part U1 at 20 20 "MOD"
  pad 1 rect 1 x 1 at -4.5 -5.5 net=GND
  pad 2 rect 1 x 1 at 4.5 -5.5 net=VDD
  pad 3 rect 1 x 1 at -4.5 9.5
  pad 4 rect 1 x 1 at 4.5 9.5
  body -5 -10 5 10
"""
MODULE_WIRING = "U1 MODULE MOD : 1/GND=GND 2/VDD=VDD\n"
INSIDE = '[parts.U1]\nrole = "radio-module"\nantenna_inside = true\n'


def judged_zone(drawn: str | Layout, facts: str = FACTS, wiring: str = WIRING) -> list[Verdict]:
    made = layout(drawn) if isinstance(drawn, str) else drawn
    return verdicts("antenna-clear-zone", make_board(wiring, facts, layout=made))


def one_zone(drawn: str | Layout, facts: str = FACTS, wiring: str = WIRING) -> Verdict:
    (verdict,) = judged_zone(drawn, facts, wiring)
    return verdict


def told(verdict: Verdict) -> str:
    return verdict.case if isinstance(verdict, Fail) else type(verdict).__name__


def pour(x1: float, y1: float, x2: float, y2: float, net: str = "GND", layer: str = "B.Cu") -> str:
    return f"zone {net} {layer} : {x1} {y1} {x2} {y1} {x2} {y2} {x1} {y2}\n"
