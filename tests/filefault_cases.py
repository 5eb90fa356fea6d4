"""The table: one line for each mistake. Power, USB and clock here, the rest beside it."""

from __future__ import annotations

from filefault_table import Fault, both, remove, state, swap, value, wire

UNLISTED = ("bom-extra",)
"""A part deleted from the drawing stays in the BOM."""
BILL = ("bom-value-differs",)
RAIL = ("supply-pin-open", "decoupling-present", "card-needs", "regulator-headroom")
"""Company of a rail that is gone."""
DRAWN = ("track-current", "usb-current")
"""Company of a far higher charge current."""


def cell(ref: str, chemistry: str = "li-po", capacity: int = 0) -> str:
    holds = f'capacity = "{capacity} mAh"\n' if capacity else ""
    return f'[cell]\nref = "{ref}"\nchemistry = "{chemistry}"\n{holds}'


PLUS = '[parts.{}]\npolarity = "1 is plus"\n'

USB = [
    Fault(
        "flatbox4",
        "CC resistor gone",
        remove("R8"),
        (("usb-cc-pulldowns", "USB1"),),
        UNLISTED,
        quick=True,
    ),
    Fault(
        "flatbox4",
        "both CC on one resistor",
        both(remove("R8"), wire("USB1", "10", "Net-(USB1-CC1)")),
        (("usb-cc-pulldowns", "USB1"),),
        UNLISTED,
    ),
    Fault("flatbox4", "CC 51k", value("R8", "51k"), (("usb-cc-pulldowns", "USB1"),), BILL),
    Fault("flatbox4", "CC to 5 V", wire("R8", "2", "+5V"), (("usb-cc-pulldowns", "USB1"),)),
    Fault(
        "flatbox4",
        "CC resistor on one net",
        wire("R8", "2", "Net-(USB1-CC2)"),
        (("usb-cc-pulldowns", "USB1"),),
        ("rail-shorted",),
    ),
    Fault("orangecrab", "CC resistor gone", remove("R14"), (("usb-cc-pulldowns", "J3"),), UNLISTED),
    Fault("orangecrab", "CC 51k", value("R16", "51k"), (("usb-cc-pulldowns", "J3"),), BILL),
    Fault(
        "flatbox4",
        "data lines crossed",
        both(wire("USB1", "6", "Net-(USB1-DN1)"), wire("USB1", "7", "Net-(USB1-DP1)")),
        (("usb-data-joined", "USB1"),),
    ),
    Fault(
        "olimex", "data lines crossed", swap("U2", "1", "2"), (("usb-data-joined", "USB-UART1"),)
    ),
]

CLOCK = [
    Fault(
        "flatbox4",
        "capacitors 150p",
        both(value("C14", "150p"), value("C15", "150p")),
        (("crystal-load", "Y1"),),
        BILL,
    ),
    Fault(
        "watchy",
        "capacitors 220p",
        both(value("C16", "220pF"), value("C19", "220pF")),
        (("crystal-load", "Y2"),),
        BILL,
    ),
    Fault(
        "parasite",
        "capacitors 120p",
        both(value("C3", "120p"), value("C4", "120p")),
        (("crystal-load", "Y1"),),
        BILL,
    ),
    Fault(
        "rev-b",
        "capacitors 150p",
        both(value("C1", "150p"), value("C2", "150p")),
        (("crystal-load", "Y1"),),
        BILL,
    ),
    Fault(
        "parasite",
        "capacitors 22p for a crystal cut for 9 pF",
        both(value("C3", "22p"), value("C4", "22p")),
        (("crystal-load", "Y1"),),
        BILL,
        state='[parts.Y1]\nload = "9 pF"\n',
        asks="[parts.Y1] load =",
    ),
    Fault(
        "flatbox4",
        "one capacitor gone",
        remove("C14"),
        (("crystal-caps-missing", "Y1"),),
        (*UNLISTED, "crystal-caps-unequal"),
    ),
    Fault(
        "flatbox4",
        "both capacitors gone",
        remove("C14", "C15"),
        (("crystal-caps-missing", "Y1"),),
        UNLISTED,
    ),
    Fault(
        "parasite", "one capacitor gone", remove("C3"), (("crystal-caps-missing", "Y1"),), UNLISTED
    ),
    Fault(
        "watchy",
        "both capacitors gone",
        remove("C17", "C18"),
        (("crystal-caps-missing", "Y1"),),
        UNLISTED,
    ),
    Fault(
        "flatbox4",
        "turned by a quarter",
        both(swap("Y1", "1", "2"), swap("Y1", "3", "4")),
        (("crystal-pads", "Y1"),),
        quick=True,
    ),
    Fault("flatbox4", "pads 1 and 2 changed over", swap("Y1", "1", "2"), (("crystal-pads", "Y1"),)),
    Fault(
        "watchy",
        "turned by a quarter",
        both(swap("Y2", "1", "2"), swap("Y2", "3", "4")),
        (("crystal-pads", "Y2"),),
    ),
    Fault(
        "flatbox4",
        "resonator pad on ground",
        wire("Y1", "1", "GND"),
        (("crystal-pads", "Y1"),),
        ("single-node-net",),
    ),
    Fault("parasite", "pad on ground", wire("Y1", "2", "GND"), (("crystal-pads", "Y1"),)),
    Fault(
        "watchy",
        "both pads on one net",
        wire("Y1", "2", "/32K_P"),
        (("crystal-pads", "Y1"),),
        ("rail-shorted",),
    ),
]

CELLS = [
    Fault(
        "watchy",
        "set resistor gone",
        remove("R3"),
        (("charge-set-resistor", "U3"),),
        UNLISTED,
    ),
    Fault(
        "watchy",
        "set resistor a tenth",
        value("R3", "1K"),
        (("charge-set-resistor", "U3"),),
        (*BILL, *DRAWN),
    ),
    Fault("watchy", "set pin on ground", wire("U3", "5", "GND"), (("charge-set-resistor", "U3"),)),
    Fault(
        "watchy",
        "set pin open",
        wire("U3", "5", "Lone"),
        (("charge-set-resistor", "U3"),),
        ("single-node-net",),
    ),
    Fault("olimex", "set resistor gone", remove("R4"), (("charge-set-resistor", "U1"),)),
    Fault(
        "olimex",
        "set resistor a tenth",
        value("R4", "220R/R0402"),
        (("charge-set-resistor", "U1"),),
        DRAWN,
    ),
    Fault("olimex", "set pin on ground", wire("U1", "5", "GND"), (("charge-set-resistor", "U1"),)),
    Fault("olimex board", "set resistor gone", remove("R4"), (("charge-set-resistor", "U1"),)),
    Fault(
        "olimex board",
        "set pin on ground",
        wire("U1", "5", "GND"),
        (("charge-set-resistor", "U1"),),
    ),
    Fault(
        "orangecrab", "set resistor gone", remove("R12"), (("charge-set-resistor", "U5"),), UNLISTED
    ),
    Fault(
        "rev-b",
        "set resistor a tenth",
        value("R8", "1k5"),
        (("charge-rate", "U2"),),
        (*BILL, *DRAWN),
    ),
    Fault(
        "watchy",
        "set resistor a fifth",
        value("R3", "2K"),
        (("charge-rate", "U3"),),
        BILL,
        state=cell("J1", capacity=200),
        asks="[cell] capacity =",
    ),
    Fault("watchy", "small cell", state("", cell("J1", capacity=50)), (("charge-rate", "U3"),)),
    Fault("olimex", "small cell", state("", cell("BAT1", capacity=100)), (("charge-rate", "U1"),)),
    Fault(
        "orangecrab", "small cell", state("", cell("J5", capacity=100)), (("charge-rate", "U5"),)
    ),
    Fault(
        "rev-b",
        "small cell",
        state('capacity = "150 mAh"', 'capacity = "40 mAh"'),
        (("charge-rate", "U2"),),
        ("endurance-short",),
    ),
    Fault(
        "watchy", "dry cell", state("", cell("J1", "alkaline")), (("primary-cell-charged", "J1"),)
    ),
    Fault(
        "olimex board",
        "dry cell",
        state("", cell("BAT1", "alkaline")),
        (("primary-cell-charged", "BAT1"),),
    ),
    Fault(
        "orangecrab",
        "dry cell",
        state("", cell("J5", "alkaline")),
        (("primary-cell-charged", "J5"),),
    ),
    Fault(
        "rev-b",
        "dry cell",
        state('chemistry = "li-po"', 'chemistry = "alkaline"'),
        (("primary-cell-charged", "BT1"),),
        quick=True,
    ),
    Fault(
        "parasite",
        "rechargeable cell, no charger",
        state("", cell("BT1", "li-ion")),
        (("cell-needs-charger", "BT1"),),
        ("reverse-cell-guard",),
        quick=True,
    ),
    Fault("parasite", "the cell it has", state("", cell("BT1", "li-mno2-coin")), ()),
    Fault("parasite", "cell reversed", swap("BT1", "1", "2"), (("cell-polarity", "BT1"),)),
    Fault(
        "redox-tx", "cell reversed", swap("BT_LEFT1", "1", "2"), (("cell-polarity", "BT_LEFT1"),)
    ),
    Fault("rev-b", "cell reversed", swap("BT1", "1", "2"), (("cell-polarity", "BT1"),)),
    Fault("donor", "cell reversed", swap("BT1", "1", "2"), (("cell-polarity", "BT1"),)),
    Fault(
        "watchy",
        "cell reversed",
        swap("J1", "1", "2"),
        (("cell-polarity", "J1"),),
        state=PLUS.format("J1"),
        asks="[parts.J1] polarity =",
    ),
    Fault(
        "olimex board",
        "cell reversed",
        swap("BAT1", "1", "2"),
        (("cell-polarity", "BAT1"),),
        state=PLUS.format("BAT1"),
        asks="[parts.BAT1] polarity =",
    ),
]

RAILS = [
    Fault("watchy", "output on ground", wire("U2", "5", "GND"), (("rail-shorted", "U2"),), RAIL),
    Fault("flatbox4", "output on ground", wire("U2", "5", "GND"), (("rail-shorted", "U2"),), RAIL),
    Fault("olimex", "output on ground", wire("U3", "5", "GND"), (("rail-shorted", "U3"),), RAIL),
    Fault("rev-b", "output on ground", wire("U3", "5", "GND"), (("rail-shorted", "U3"),), RAIL),
    Fault(
        "redox-rx",
        "output on ground",
        both(wire("V_REG1", "2", "GND"), wire("V_REG1", "4", "GND")),
        (("rail-shorted", "V_REG1"),),
        RAIL,
        quick=True,
    ),
    Fault("redox-rx", "input open", wire("V_REG1", "3", ""), (("supply-pin-open", "V_REG1"),)),
    Fault("parasite", "supply pin open", wire("U2", "1", ""), (("supply-pin-open", "U2"),)),
    Fault(
        "flatbox4",
        "input capacitor gone",
        remove("C12"),
        (("decoupling-present", "U2"),),
        (*UNLISTED, "usb-vbus-capacitance"),
    ),
    Fault(
        "flatbox4",
        "all of a rail's capacitors gone",
        remove("C13", "C10", "C3", "C4", "C5", "C6", "C7", "C8", "C9", "C16"),
        (("decoupling-present", "U1"), ("decoupling-present", "U3")),
        (*UNLISTED, *RAIL),
    ),
    Fault(
        "parasite",
        "the only capacitor gone",
        remove("C2"),
        (("decoupling-present", "U1"), ("decoupling-present", "U2")),
        UNLISTED,
        quick=True,
    ),
    Fault("olimex", "output capacitor gone", remove("C7"), (("decoupling-present", "U5"),), RAIL),
    Fault(
        "olimex board",
        "output capacitor gone",
        remove("C7"),
        (("decoupling-present", "U5"),),
        RAIL,
    ),
    Fault("rev-b", "capacitor at the cell gone", remove("C16"), (("card-needs", "U2"),), UNLISTED),
    Fault(
        "rev-b",
        "all of a rail's capacitors gone",
        remove("C4", "C5", "C6", "C7", "C8", "C9", "C18"),
        (("decoupling-present", "U1"),),
        (*UNLISTED, *RAIL),
    ),
    Fault(
        "flatbox4",
        "memory on 5 V",
        wire("U3", "8", "+5V"),
        (("supply-range", "U3"),),
        ("decoupling-present",),
        state='[parts.U3]\nsupply = "2.7 V to 3.6 V"\n',
        asks="[parts.U3] supply =",
    ),
    Fault(
        "watchy",
        "sensor on VBUS",
        both(wire("U6", "3", "VBUS"), wire("U6", "7", "VBUS"), wire("U6", "10", "VBUS")),
        (("supply-range", "U6"),),
        ("decoupling-present", "input-pull", "track-current"),
        state='[parts.U6]\nsupply = "1.62 V to 3.6 V"\n',
        asks="[parts.U6] supply =",
    ),
    Fault("olimex", "module on 5 V", wire("U5", "2", "+5V"), (("supply-range", "U5"),)),
    Fault(
        "parasite",
        "fresh cell above the module",
        state("", cell("BT1") + '[parts.U1]\nsupply = "1.7 V to 3.6 V"\n'),
        (("supply-range", "U1"),),
        ("reverse-cell-guard", "cell-needs-charger"),
    ),
    Fault("watchy", "diode turned", swap("D1", "1", "2"), (("diode-reversed", "D1"),)),
    Fault("olimex", "diode turned", swap("D1", "1", "2"), (("diode-reversed", "D1"),)),
]

FAULTS = (*USB, *CLOCK, *CELLS, *RAILS)
