"""The table's second half: radio, controls, indicators, BOM, edge, limits."""

from __future__ import annotations

from filefault_table import (
    Fault,
    board_wire,
    both,
    line,
    on_board,
    on_netlist,
    place,
    pour,
    remove,
    rename,
    state,
    swap,
    turn,
    unfit,
    value,
    wire,
)

OPEN_EDGE = (("outline-open", ""),)
EDGE = ("area-over", "mass-over", "copper-near-edge", "antenna-clear-zone", "height-over")
"""Company of an edge that is another, or none."""

RADIO = [
    Fault(
        "watchy",
        "feed cut",
        wire("AE1", "1", "Net-(Lone)"),
        (("antenna-fed", "AE1"),),
        quick=True,
    ),
    Fault("watchy", "feed cut at a coil", wire("L1", "1", "Net-(X)"), (("antenna-fed", "AE1"),)),
    Fault("watchy", "feed cut at the radio", wire("U4", "1", "Net-(X)"), (("antenna-fed", "AE1"),)),
    Fault("watchy", "feed on ground", wire("AE1", "1", "GND"), (("antenna-fed", "AE1"),)),
    Fault("watchy", "feed on a rail", wire("AE1", "1", "+3V3"), (("antenna-fed", "AE1"),)),
    Fault(
        "rev-b", "feed cut", wire("L1", "2", "X"), (("antenna-fed", "AE1"),), ("single-node-net",)
    ),
    Fault(
        "rev-b",
        "feed on ground",
        wire("AE1", "1", "GND"),
        (("antenna-fed", "AE1"),),
        ("antenna-clear-zone",),
    ),
    Fault(
        "watchy",
        "track under the antenna",
        on_board(lambda board: board.track((78, 77, 90, 77), "GND", "B.Cu")),
        (("antenna-clear-zone", "AE1"),),
    ),
    Fault(
        "rev-b",
        "track under the antenna",
        on_board(lambda board: board.track((115, 112.6, 121, 112.6), "GND", "B.Cu")),
        (("antenna-clear-zone", "AE1"),),
    ),
    Fault(
        "rev-b",
        "copper area under the antenna",
        pour("GND", 15, (114, 111, 122, 114)),
        (("antenna-clear-zone", "AE1"),),
        ("copper-near-edge",),
    ),
    Fault(
        "olimex",
        "module moved in over the ground plane",
        place("U5", 0, 9),
        (("antenna-clear-zone", "U5"),),
        ("part-overhang", "track-current", "antenna-at-edge"),
    ),
]

SWITCHES = [
    Fault(
        "watchy",
        "both pads on one net",
        wire("SW1", "2", "BTN2"),
        (("switch-always-closed", "SW1"),),
    ),
    Fault(
        "flatbox4",
        "both pads on one net",
        wire("SW7", "2", "LEFT"),
        (("switch-always-closed", "SW7"),),
        quick=True,
    ),
    Fault(
        "flatbox4",
        "both pads on ground",
        wire("SW7", "1", "GND"),
        (("switch-always-closed", "SW7"),),
        ("single-node-net",),
    ),
    Fault(
        "parasite",
        "both pads on ground",
        wire("SW1", "1", "GND"),
        (("switch-always-closed", "SW1"),),
        ("single-node-net",),
    ),
    Fault(
        "redox-rx",
        "both pads on ground",
        wire("RESET1", "1", "GND"),
        (("switch-always-closed", "RESET1"),),
    ),
    Fault(
        "redox-tx board",
        "both pads on one net",
        wire("K0", "1", "Net-(D0-Pad2)"),
        (("switch-always-closed", "K0"),),
    ),
    Fault(
        "olimex",
        "both pads on one net",
        wire("RST1", "2", "/ESP_EN"),
        (("switch-always-closed", "RST1"),),
    ),
    Fault(
        "flatbox4",
        "one side alone",
        wire("SW7", "1", "Net-(X)"),
        (("switch-no-return", "SW7"),),
        ("single-node-net",),
    ),
    Fault("parasite", "one side open", wire("SW1", "2", ""), (("switch-no-return", "SW1"),)),
    Fault("redox-tx", "one side alone", wire("K5", "1", "Net-(X)"), (("switch-no-return", "K5"),)),
    Fault(
        "redox-tx", "matrix diode turned", swap("D5", "1", "2"), (("matrix-diode-direction", "D5"),)
    ),
    Fault(
        "rev-b",
        "wired to normally-closed",
        both(wire("SW1", "2", "Net-(X)"), wire("SW1", "3", "FOCUS_IN")),
        (("switch-throw", "SW1"),),
    ),
    Fault(
        "rev-b",
        "joined pair as contact",
        both(wire("SW3", "2", "GND"), wire("SW3", "3", "MODE")),
        (("switch-always-closed", "SW3"),),
    ),
    Fault(
        "rev-b",
        "turned round",
        turn("SW1", 180),
        (("switch-facing", "SW1"),),
        ("part-overhang", "switch-siblings", "copper-near-edge"),
        quick=True,
    ),
    Fault(
        "watchy",
        "turned round",
        turn("SW1", 180),
        (("switch-facing", "SW1"),),
        ("switch-siblings",),
        state='[parts.SW1]\nplunger = "up"\nfaces = "right"\n',
        asks="[parts.SW1] plunger =",
    ),
    Fault("watchy", "one of four turned round", turn("SW3", 180), (("switch-siblings", "SW3"),)),
]

LIGHTS = [
    Fault("parasite", "LED turned", swap("D2", "1", "2"), (("led-reversed", "D2"),), quick=True),
    Fault("olimex", "LED turned", swap("CHARGING1", "1", "2"), (("led-reversed", "CHARGING1"),)),
    Fault("redox-rx", "LED turned", swap("D1", "1", "2"), (("led-reversed", "D1"),)),
    Fault("rev-b", "LED turned", swap("D1", "1", "2"), (("led-reversed", "D1"),)),
    Fault("rev-b", "LED at the charger turned", swap("D2", "1", "2"), (("led-reversed", "D2"),)),
]

BOM = [
    Fault(
        "flatbox4",
        "line gone",
        line('"15p","C14,C15","Capacitor_SMD:C_0402_1005Metric","C1548"', ""),
        (("bom-missing", "C14"), ("bom-missing", "C15")),
        quick=True,
    ),
    Fault(
        "flatbox4",
        "value",
        line('"5.1k","R8,R9"', '"51k","R8,R9"'),
        (("bom-value-differs", "R8"), ("bom-value-differs", "R9")),
    ),
    Fault("flatbox4", "a ref more", line("R8,R9", "R8,R9,R77"), (("bom-extra", "R77"),)),
    Fault(
        "flatbox4",
        "a ref twice",
        line('"R6"', '"R6,R8"'),
        (("bom-duplicate", "R8"),),
        ("bom-value-differs",),
    ),
    Fault(
        "flatbox4",
        "package",
        line(
            'C14,C15","Capacitor_SMD:C_0402_1005Metric', 'C14,C15","Capacitor_SMD:C_0805_2012Metric'
        ),
        (("bom-package-differs", "C14"), ("bom-package-differs", "C15")),
    ),
    Fault("flatbox4", "no order code", line('"C1548"', '""'), (("bom-no-order-code", "C14"),)),
    Fault(
        "watchy",
        "a ref less",
        line('"C3,C2,C15,C4"', '"C3,C2,C15"'),
        (("bom-missing", "C4"),),
        ("bom-quantity",),
    ),
    Fault(
        "watchy", "quantity", line('Metric";4;"1uF"', 'Metric";3;"1uF"'), (("bom-quantity", "C3"),)
    ),
    Fault("watchy", "value", line('1;"360K"', '1;"36K"'), (("bom-value-differs", "R9"),)),
    Fault("watchy", "chip", line('"BMA423"', '"BMA400"'), (("bom-value-differs", "U6"),)),
    Fault(
        "watchy",
        "package",
        line('"R9";"R_0402_1005Metric"', '"R9";"R_0603_1608Metric"'),
        (("bom-package-differs", "R9"),),
    ),
    Fault(
        "watchy",
        "a ref twice",
        line('"R13";', '"R13,R9";'),
        (("bom-duplicate", "R9"),),
        ("bom-value-differs", "bom-quantity"),
    ),
    Fault("watchy", "not fitted", line('1;"360K"', '1;"DNP"'), (("bom-fitted-conflict", "R9"),)),
    Fault(
        "parasite",
        "line gone",
        line('"MMBT3906","Q1","Package_TO_SOT_SMD:SOT-23","C2910191"', ""),
        (("bom-missing", "Q1"),),
    ),
    Fault(
        "parasite",
        "value",
        line('"12p"', '"22p"'),
        (("bom-value-differs", "C3"), ("bom-value-differs", "C4")),
    ),
    Fault("parasite", "a ref more", line('"C1"', '"C1,C9"'), (("bom-extra", "C9"),)),
    Fault("parasite", "not fitted on the board", unfit("R10"), (("bom-fitted-conflict", "R10"),)),
    Fault("flatbox4", "not fitted on the board", unfit("R6"), (("bom-fitted-conflict", "R6"),)),
    Fault(
        "orangecrab", "quantity", line('"24","C2, C4', '"23","C2, C4'), (("bom-quantity", "C2"),)
    ),
    Fault(
        "orangecrab",
        "value",
        line('"4.7uF"', '"47uF"'),
        (("bom-value-differs", "C12"), ("bom-value-differs", "C77")),
    ),
    Fault(
        "orangecrab",
        "a ref less",
        line('C5, C10, C18"', 'C5, C10"'),
        (("bom-missing", "C18"),),
        ("bom-quantity",),
    ),
]

FILES = [
    *(
        Fault(base, "a piece of the edge gone", on_board(lambda b: b.drop_edge(1)), OPEN_EDGE, EDGE)
        for base in ("watchy", "flatbox4", "parasite", "olimex", "redox-tx", "redox-rx", "rev-b")
    ),
    *(
        Fault(
            base,
            "a piece of the edge moved",
            on_board(lambda b: b.move_edge(1, 0.5, 0.5)),
            OPEN_EDGE,
            EDGE,
            quick=base == "redox-rx",
        )
        for base in ("watchy", "flatbox4", "parasite", "olimex", "redox-tx", "redox-rx", "rev-b")
    ),
    Fault(
        "watchy",
        "part over a cut-out",
        place("R4", -16, 2.6),
        (("part-in-hole", "R4"),),
        ("part-overhang", "copper-near-edge"),
    ),
    Fault(
        "flatbox4",
        "a ref twice",
        rename("R6", "R7"),
        (("duplicate-reference", "R7"),),
        ("bom-extra", "bom-value-differs"),
    ),
    Fault(
        "watchy",
        "a ref twice",
        rename("R1", "R20"),
        (("duplicate-reference", "R20"),),
        ("bom-extra",),
    ),
    Fault(
        "redox-rx", "a ref twice", rename("D1", "D2"), (("duplicate-reference", "D2"),), quick=True
    ),
    Fault(
        "redox-tx",
        "a ref twice on the board",
        on_board(lambda board: board.rename("K0", "K1")),
        (("duplicate-reference", "K1"),),
        ("layout-netlist-differs",),
    ),
    *(
        Fault(
            base,
            "a pad on another net on the board alone",
            board_wire(ref, pin, net),
            (("layout-netlist-differs", ref),),
            ("single-node-net",),
        )
        for base, ref, pin, net in (
            ("olimex", "R13", "1", "GND"),
            ("redox-tx", "D5", "2", "col0"),
            ("rev-b", "R4", "2", "ENC_A"),
        )
    ),
    Fault(
        "redox-rx",
        "a part gone from the board",
        on_board(lambda board: board.remove("R7")),
        (("layout-netlist-differs", "R7"),),
        ("bom-value-unreadable",),
    ),
    Fault(
        "redox-rx",
        "a part gone from the netlist",
        on_netlist(lambda net: net.remove("R7")),
        (("layout-netlist-differs", "R7"),),
        ("single-node-net", "led-current"),
    ),
    Fault(
        "rev-b",
        "another value on the board",
        on_board(lambda board: board.value("R4", "47k")),
        (("layout-netlist-differs", "R4"),),
    ),
    Fault("rev-b", "mass", state('mass = "32 g"', 'mass = "22 g"'), (("mass-over", ""),)),
    Fault("rev-b", "area", state('area = "19 cm^2"', 'area = "17 cm^2"'), (("area-over", ""),)),
    Fault("watchy", "area", state("", '[limits]\narea = "14 cm^2"\n'), (("area-over", ""),)),
    Fault("watchy", "width", state("", '[limits]\nwidth = "30 mm"\n'), (("area-over", ""),)),
    Fault("watchy", "mass", state("", '[limits]\nmass = "3 g"\n'), (("mass-over", ""),)),
]

# What is only moved to another value by a maker who knows better than the drawing.
SOUND = [
    Fault("flatbox4", "CC 5k1", value("R8", "5k1"), ()),
    Fault("watchy", "1,0 kΩ in place of 1K", value("R13", "1,0 kΩ"), ()),
    Fault(
        "parasite",
        "a tool's note added",
        on_board(lambda b: b.add('(gr_text "x" (at 1 1) (layer "Cmts.User"))')),
        (),
    ),
    Fault("flatbox4", "mounting hole removed", remove("H6"), ()),
]

MORE = (*RADIO, *SWITCHES, *LIGHTS, *BOM, *FILES, *SOUND)
