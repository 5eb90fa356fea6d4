"""The shipped part cards against order codes, look-alikes and worked datasheet examples."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from counterpoise.catalog.cards import (
    Card,
    CardFact,
    all_cards,
    find_card,
    order_code,
    read_cards,
    read_user_cards,
)
from counterpoise.catalog.facts import FACTS, fact
from counterpoise.catalog.toml import CatalogError
from counterpoise.catalog.vocabulary import FUNCTIONS, ROLES
from counterpoise.values.ranges import Range

TABLE = Path(__file__).with_name("order_codes.txt")
TAILS = ("", "-T", "R", "TR", "-REEL", "-7", "#PBF")
"""Tape, reel and lead-free tails that makers put after a code."""


def rows() -> list[tuple[str, str, str]]:
    found = []
    for line in TABLE.read_text("utf-8").splitlines():
        if line and not line.startswith("#"):
            code, key, facts = (piece.strip() for piece in line.split("|"))
            found.append((code, key, facts))
    return found


def claimed(code: str) -> list[str]:
    return [card.key for card in all_cards() if card.claims(order_code(code))]


def facts_of(code: str) -> dict[str, CardFact]:
    found = find_card([code], all_cards())
    assert found is not None, f"no card for {code}"
    card, spelt = found
    return dict(card.facts_for(spelt))


def number(code: str, key: str) -> Range:
    value = facts_of(code)[key].value
    assert isinstance(value, Range)
    return value


@pytest.mark.parametrize(("code", "key", "facts"), rows(), ids=[row[0] for row in rows()])
def test_order_code(code: str, key: str, facts: str) -> None:
    assert claimed(code) == ([] if key == "-" else [key])
    for statement in filter(None, (piece.strip() for piece in facts.split(";"))):
        name, _, text = statement.partition("=")
        known = facts_of(code).get(name)
        if text == "-":
            assert known is None, name
        else:
            wanted = {"yes": True, "no": False}.get(text)
            assert known is not None, name
            assert known.value == (fact(name, text) if wanted is None else wanted), name


def test_enough_rows() -> None:
    assert len(rows()) >= 150


def test_no_code_is_claimed_twice() -> None:
    twice = {
        code + tail: keys
        for code, _, _ in rows()
        for tail in TAILS
        if len(keys := claimed(code + tail)) > 1
    }
    assert twice == {}


def test_keys_are_not_reused() -> None:
    keys = [card.key for card in all_cards()]
    assert sorted(set(keys)) == sorted(keys)


@pytest.mark.parametrize("card", all_cards(), ids=lambda card: card.key)
def test_card_is_whole(card: Card) -> None:
    assert card.title
    assert card.role in ROLES
    assert card.sources, "a fact without a source"
    assert card.names or card.facts or card.packages or card.variants
    for source in card.sources:
        assert not re.search(r"facts\.md|cards-|shared", source)
    functions = set(card.names) | {f for p in card.packages for f in p.functions.values()}
    assert functions <= set(FUNCTIONS)
    for need in card.needs:
        assert {need.start, need.end} <= functions, (
            "a need between pins that the card does not name"
        )
        assert need.why
    for name, known in card.facts.items():
        assert name in FACTS
        assert known.source


def test_every_card_is_in_the_table() -> None:
    """A pattern that nothing in the table meets would be a card that nobody tried."""
    assert {card.key for card in all_cards()} - {key for _, key, _ in rows()} == set()


@pytest.mark.parametrize(
    ("code", "ohms", "low", "high", "source"),
    [
        ("LTC4054ES5-4.2", 2e3, 0.465, 0.535, "Linear Technology LTC4054-4.2, electrical table"),
        ("LTC4054ES5-4.2", 10e3, 0.093, 0.107, "Linear Technology LTC4054-4.2, electrical table"),
        ("LTC4054LES5-4.2", 15e3, 0.0093, 0.0107, "Linear Technology LTC4054L-4.2, table"),
        ("BQ24072RGTR", 1130.0, 0.705, 0.863, "Texas Instruments SLUS810K, page 30"),
        ("BQ25171DRCR", 3e3, 0.1, 0.1, "Texas Instruments SLUAAG9, table 7-1"),
        ("BQ25170DSGR", 375.0, 0.8, 0.8, "Texas Instruments SLUAAG9, table 7-1"),
        ("BQ25185DLHR", 1e3, 0.3, 0.3, "Texas Instruments BQ25185"),
        ("BQ25121AYFPR", 665.0, 0.2857, 0.3158, "Texas Instruments BQ25121, ISET table"),
        ("TP4056", 1200.0, 0.833, 1.0, "Top Power TP4056 (1200 V) and copies (1000 V)"),
        ("MCP73831T-2ACI/OT", 2e3, 0.5, 0.5, "Microchip DS20001984, from memory"),
        ("BQ24040DSQR", 540.0, 1.0, 1.0, "Texas Instruments SLUS941, from memory"),
    ],
)
def test_charge_current(code: str, ohms: float, low: float, high: float, source: str) -> None:
    made = number(code, "set_constant") / ohms
    assert made.low == pytest.approx(low, rel=0.002), source
    assert made.high == pytest.approx(high, rel=0.002), source


@pytest.mark.parametrize(
    ("code", "top", "bottom", "volts", "source"),
    [
        ("TPS63020DSJR", 1e6, 180e3, 3.27778, "Texas Instruments SLVS916, output table"),
        ("TPS63020DSJR", 1.6e6, 180e3, 4.94444, "Texas Instruments SLVS916, output table"),
        ("TPS63802DLAR", 511e3, 91e3, 3.30769, "Texas Instruments SLVSEU9, output table"),
        ("TPS63805YFFR", 806e3, 91e3, 4.92857, "Texas Instruments TPS63805, output table"),
        ("TPS631010DRLR", 365e3, 91e3, 2.50549, "Texas Instruments TPS631010, output table"),
        ("TPS62822DLCR", 732e3, 162e3, 3.31111, "Texas Instruments TPS62822, table 3"),
        ("TPS62822DLCR", 200e3, 100e3, 1.8, "Texas Instruments TPS62822, table 3"),
        ("MCP1640T-I/CHY", 976e3, 562e3, 3.31135, "Microchip DS20002234, from memory"),
    ],
)
def test_feedback_divider(code: str, top: float, bottom: float, volts: float, source: str) -> None:
    made = number(code, "reference").middle * (1 + top / bottom)
    assert made == pytest.approx(volts, abs=1e-4), source


def test_memory_is_kept_per_fact() -> None:
    facts = facts_of("MCP73831T-2ACI/OT")
    assert facts["set_constant"].memory
    assert not facts["charge_voltage"].memory
    assert facts_of("MCP73831T-3ACI/OT")["charge_voltage"].memory


@pytest.mark.parametrize(
    ("code", "footprint", "pin", "function"),
    [
        ("MCP73831T-2ACI/OT", "SOT-23-5", "5", "set"),
        ("TP4056", "SOIC-8-1EP_3.9x4.9mm", "8", "enable"),
        ("MCP1700-3302E/TT", "SOT-23", "3", "supply"),
        ("MCP1700-3302E/MB", "SOT-89-3", "2", "supply"),
        ("TPS7A0233PDQNR", "X2SON-4_1x1mm", "1", "output"),
        ("MAX1722EZK+T", "TSOT-23-5", "3", "feedback"),
        ("MAX1724EZK33+T", "TSOT-23-5", "3", "enable"),
        ("NCP1402SN33T1G", "TSOP-5", "2", "output"),
        ("DW01A", "SOT-23-6", "6", "cell-negative"),
        ("BAT54C", "SOT-23", "3", "cathode"),
        ("BAT54A", "SOT-23", "3", "anode"),
        ("WS2812B", "LED_WS2812B_PLCC4_5.0x5.0mm_P3.2mm", "1", "supply"),
        ("USB4105-GF-A", "USB_C_Receptacle_GCT_USB4105", "A5", "cc"),
        ("USB4105-GF-A", "USB_C_Receptacle_GCT_USB4105", "B4A9", "vbus"),
        ("CC2541F256RHAR", "QFN-40-1EP_6x6mm_P0.5mm", "40", "bypass"),
        ("CC2640R2FRSMR", "VQFN-32-1EP_4x4mm", "12", "bypass"),
        ("CC2640R2FRHBR", "VQFN-32-1EP_5x5mm", "17", "switch-node"),
    ],
)
def test_pin_table(code: str, footprint: str, pin: str, function: str) -> None:
    found = find_card([code], all_cards())
    assert found is not None
    tables = [p for p in found[0].packages if p.matches.fullmatch(footprint)]
    assert [p.functions.get(pin) for p in tables] == [function]


def test_three_pin_table_is_not_taken_for_five_pins() -> None:
    found = find_card(["MCP1700-3302E/TT"], all_cards())
    assert found is not None
    assert not [p for p in found[0].packages if p.matches.fullmatch("SOT-23-5")]


GOOD: dict[str, object] = {
    "title": "a regulator",
    "role": "regulator",
    "matches": ["AB12.*"],
    "sources": ["Maker AB12"],
    "pins": {"supply": "VIN", "ground": ["GND"], "output": "VOUT"},
    "packages": {"sot23-5": {"matches": ".*SOT-23-5.*", "pins": {"1": "supply", "2,4": "ground"}}},
    "facts": {"supply": "2 V to 6 V", "dropout": {"value": "0.2 V", "memory": True}},
    "needs": [{"kind": "capacitor", "from": "supply", "to": "ground", "value": "at least 1 uF"}],
    "variants": [{"matches": r"AB12-(\d\d)", "scaled": {"output": "0.1 V"}}],
}


def test_good_card() -> None:
    (card,) = read_cards("own.toml", {"AB12": GOOD})
    assert card.facts_for("AB12-33")["output"].value == Range.of(3.3)
    assert "output" not in card.facts_for("AB12")
    assert card.packages[0].functions == {"1": "supply", "2": "ground", "4": "ground"}
    assert card.needs[0].value == Range(1e-6, float("inf"))
    assert card.facts["dropout"].memory
    assert not card.claims("AB12" + "X" * 200)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"titel": "x"}, 'own.toml: [AB12] titel: unknown key (did you mean "title"?)'),
        (
            {"role": "regulater"},
            '[AB12] role: unknown role "regulater" (did you mean "regulator"?)',
        ),
        (
            {"facts": {"suply": "3 V"}},
            '[AB12] suply: unknown key (did you mean "supply"?)',
        ),
        (
            {"facts": {"supply": "3 mA"}},
            '[AB12] supply: "3 mA" is not a voltage; expected one such as "3.7 V"',
        ),
        (
            {"facts": {"supply": {"value": "3", "memory": True}}},
            '[AB12] supply: "3" has no unit; expected a voltage such as "3.7 V"',
        ),
        ({"facts": {"back_path": "yes"}}, "[AB12] back_path: expected true or false"),
        (
            {"pins": {"suply": "VIN"}},
            '[AB12] pins.suply: unknown pin function "suply" (did you mean "supply"?)',
        ),
        ({"pins": {"supply": 4}}, "[AB12] pins.supply: expected a list of texts"),
        (
            {"packages": {"a": {"matches": ".*", "pins": {"1": "grund"}}}},
            '[AB12.packages.a] pins.1: unknown pin function "grund" (did you mean "ground"?)',
        ),
        ({"packages": {"a": "x"}}, "[AB12] packages.a: expected dict, got str"),
        (
            {"matches": ["(A*)*B"]},
            "[AB12] matches: expected a plain pattern without nested repeats",
        ),
        (
            {"matches": ["(A|AB)+"]},
            "[AB12] matches: expected a plain pattern without nested repeats",
        ),
        (
            {"matches": ["A*B*C*D*E"]},
            "[AB12] matches: expected a pattern with at most 3 open repeats",
        ),
        (
            {"matches": ["A("]},
            "[AB12] matches: not a pattern: missing ), unterminated subpattern at position 1",
        ),
        ({"matches": []}, "[AB12] matches: expected at least one pattern for order codes"),
        (
            {"needs": [{"kind": "capasitor", "from": "supply", "to": "ground"}]},
            "[AB12.needs] kind: expected one of capacitor, inductor, resistor, diode, thermistor",
        ),
        (
            {"needs": [{"kind": "capacitor", "from": "supply", "to": "ground", "value": "1 uH"}]},
            '[AB12.needs] value: "1 uH" is not a capacitance; expected one such as "12 pF"',
        ),
        (
            {
                "needs": [
                    {"kind": "capacitor", "from": "supply", "to": "ground", "severity": "halt"}
                ]
            },
            '[AB12.needs] severity: expected "stop" or "caution"',
        ),
        ({"needs": ["x"]}, "[AB12] needs: expected dict, got str"),
        (
            {"variants": [{"matches": "AB", "scaled": {"output": "0.1 V"}}]},
            "[AB12.variants] matches: expected a group that holds the digits",
        ),
        (
            {"variants": [{"matches": r"(\d)", "scaled": {"body": "0.1 V"}}]},
            "[AB12.variants] scaled.body: expected a unit to multiply by, for a numeric fact",
        ),
        (
            {"variants": [{"matches": r"(\d)", "scaled": {"outputt": "0.1 V"}}]},
            '[AB12.variants] scaled.outputt: unknown key (did you mean "output"?)',
        ),
        ({"memory": "yes"}, "[AB12] memory: expected bool, got str"),
    ],
)
def test_bad_card(change: dict[str, object], message: str) -> None:
    with pytest.raises(CatalogError) as caught:
        read_cards("own.toml", {"AB12": {**GOOD, **change}})
    expected = message if message.startswith("own.toml: ") else f"own.toml: {message}"
    assert str(caught.value) == expected


def test_card_that_is_no_table() -> None:
    with pytest.raises(CatalogError) as caught:
        read_cards("own.toml", {"AB12": 3})
    assert str(caught.value) == "own.toml: AB12: expected a table"


def test_user_cards(tmp_path: Path) -> None:
    assert read_user_cards(tmp_path) == ()
    folder = tmp_path / "cards"
    folder.mkdir()
    for name in ("b", "a"):
        text = f'[{name}]\ntitle = "x"\nrole = "chip"\nmatches = "{name.upper()}1"\n'
        (folder / f"{name}.toml").write_text(text, "utf-8")
    (folder / "notes.txt").write_text("not a card", "utf-8")
    assert [card.key for card in read_user_cards(tmp_path)] == ["a", "b"]


def test_user_card_that_is_not_toml(tmp_path: Path) -> None:
    (tmp_path / "cards").mkdir()
    (tmp_path / "cards" / "a.toml").write_text("[a\n", "utf-8")
    with pytest.raises(CatalogError) as caught:
        read_user_cards(tmp_path)
    assert str(caught.value).startswith("a.toml: not readable as TOML: ")
    assert "line 1" in str(caught.value)
