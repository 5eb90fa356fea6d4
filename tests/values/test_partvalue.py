"""Part values as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.values.eseries import SERIES
from counterpoise.values.partvalue import KINDS, PartValue, read_value, same_value, unfitted_text


def _read(text: str, kind: str) -> PartValue:
    found = read_value(text, kind)
    assert found is not None, text
    return found


# IEC 60062, the standard's RKM examples (as listed in public summaries of the standard).
@pytest.mark.parametrize(
    ("code", "ohms"),
    [
        ("R47", 0.47),
        ("4R7", 4.7),
        ("470R", 470.0),
        ("4K7", 4.7e3),
        ("47K", 47e3),
        ("47K3", 47.3e3),
        ("470K", 470e3),
        ("4M7", 4.7e6),
    ],
)
def test_rkm_resistors(code: str, ohms: float) -> None:
    assert _read(code, "resistor") == PartValue(si=_read(f"{ohms!r} ohm", "resistor").si)
    assert _read(code, "resistor").nominal == pytest.approx(ohms, rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("code", "farads"),
    [
        ("p33", 0.33e-12),
        ("3p3", 3.3e-12),
        ("330p", 330e-12),
        ("3n3", 3.3e-9),
        ("33n", 33e-9),
        ("330n", 330e-9),
        ("u33", 0.33e-6),
        ("\N{MICRO SIGN}33", 0.33e-6),
        ("3u3", 3.3e-6),
        ("33u", 33e-6),
        ("1F0", 1.0),
    ],
)
def test_rkm_capacitors(code: str, farads: float) -> None:
    assert _read(code, "capacitor").nominal == pytest.approx(farads, rel=1e-12, abs=0)
    assert not _read(code, "capacitor").doubtful


_WRITTEN = [
    ("resistor", "5.1k 1%", 5100.0, {"tolerance": 0.01}),
    ("resistor", "4.7 k\N{OHM SIGN}", 4700.0, {}),
    (
        "resistor",
        "4.7 k\N{GREEK CAPITAL LETTER OMEGA} \N{PLUS-MINUS SIGN}1%",
        4700.0,
        {"tolerance": 0.01},
    ),
    ("resistor", "4,7k", 4700.0, {}),
    ("resistor", "10k/R0402", 10e3, {"package": "0402"}),
    ("resistor", "10k,0402", 10e3, {"package": "0402"}),
    ("resistor", "10k 1206 1/4W", 10e3, {"package": "1206"}),
    ("resistor", "0R", 0.0, {}),
    ("resistor", "0E", 0.0, {}),
    ("resistor", "0", 0.0, {}),
    ("resistor", "100", 100.0, {}),
    ("resistor", "4.7", 4.7, {}),
    ("resistor", "1MEG", 1e6, {}),
    ("resistor", "4K7J", 4700.0, {"tolerance": 0.05}),
    ("resistor", "10k-1%", 10e3, {"tolerance": 0.01}),
    ("resistor", "5mR", 0.005, {}),
    ("resistor", "R005", 0.005, {}),
    ("resistor", "10k DNP", 10e3, {"unfitted": True}),
    ("capacitor", "4u7/10V", 4.7e-6, {"voltage_v": 10.0}),
    (
        "capacitor",
        "22uF/6.3V/20%/X5R/C0603",
        22e-6,
        {"voltage_v": 6.3, "tolerance": 0.2, "dielectric": "X5R", "package": "0603"},
    ),
    ("capacitor", "8pF/0402", 8e-12, {"package": "0402"}),
    ("capacitor", "12.5pF", 12.5e-12, {}),
    ("capacitor", "0.1u", 1e-7, {}),
    ("capacitor", "0,1 \N{GREEK SMALL LETTER MU}F", 1e-7, {}),
    ("capacitor", "100 NF", 1e-7, {}),
    ("capacitor", "104", 1e-7, {}),
    ("capacitor", "104K", 1e-7, {"tolerance": 0.1}),
    ("capacitor", "221", 220e-12, {}),
    ("capacitor", "1uF 25V X7R 0603 DNP", 1e-6, {"voltage_v": 25.0, "unfitted": True}),
    ("capacitor", "12pF NP0", 12e-12, {"dielectric": "C0G", "unfitted": False}),
    ("capacitor", "47uF 6V3 NF", 47e-6, {"voltage_v": 6.3, "unfitted": True}),
    ("capacitor", "5pF +/-0.25pF", 5e-12, {"tolerance": 0.05}),
    ("capacitor", "10uF +80/-20%", 10e-6, {"tolerance": 0.2}),
    ("inductor", "47uH 0.5A", 47e-6, {"current_a": 0.5}),
    ("inductor", "3.9nH", 3.9e-9, {}),
    ("inductor", "4R7", 4.7e-6, {}),
    ("crystal", "40MHz", 40e6, {}),
    ("crystal", "16MHz 8pF 10ppm", 16e6, {"load_f": 8e-12, "tolerance": 1e-5}),
    ("crystal", "32.768kHz", 32768.0, {}),
    ("crystal", "32K768 12.5pF", 32768.0, {"load_f": 12.5e-12}),
    ("crystal", "16MHZ/20PF", 16e6, {"load_f": 20e-12}),
    ("ferrite", "600R@100MHz", 600.0, {}),
    ("ferrite", "120 ohm @ 100 MHz", 120.0, {}),
    ("ferrite", "120R 2A 0603", 120.0, {"current_a": 2.0, "package": "0603"}),
    ("fuse", "500mA", 0.5, {}),
    ("fuse", "1A/6V", 1.0, {"voltage_v": 6.0}),
    ("led", "red 2mA 0603", 0.002, {"package": "0603"}),
]


@pytest.mark.parametrize(("kind", "text", "nominal", "others"), _WRITTEN)
def test_as_people_write(kind: str, text: str, nominal: float, others: dict[str, object]) -> None:
    found = _read(text, kind)
    assert found.nominal == nominal
    assert found.si.sure
    assert not found.doubtful
    assert {name: getattr(found, name) for name in others} == others


@pytest.mark.parametrize(
    ("kind", "text", "first", "others"),
    [
        ("capacitor", "10", 10e-12, (10e-6,)),
        ("capacitor", "100", 100e-12, (10e-12, 100e-6)),
        ("capacitor", "0.1", 0.1e-6, (0.1e-12,)),
        ("capacitor", "10mF", 10e-3, (10e-6,)),
        ("inductor", "10", 10e-6, (10e-9,)),
        ("crystal", "8.000", 8e6, (8e3,)),
        ("crystal", "32.768", 32768.0, (32.768e6,)),
        ("resistor", "4m7", 0.0047, (4.7e6,)),
        ("resistor", "1m", 0.001, (1e6,)),
        ("resistor", "472", 472.0, (4700.0,)),
    ],
)
def test_doubtful(kind: str, text: str, first: float, others: tuple[float, ...]) -> None:
    found = _read(text, kind)
    assert (found.nominal, found.doubtful) == (first, others)
    assert all(value in found.possible for value in (first, *others))


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("resistor", ""),
        ("resistor", "DNP"),
        ("resistor", "0402"),
        ("resistor", "R0402"),
        ("resistor", "RC0402FR-0710KL"),
        ("resistor", "THERMISTOR"),
        ("capacitor", "GRM155R71C104KA88D"),
        ("capacitor", "10k"),
        ("capacitor", "0"),
        ("capacitor", "X7R"),
        ("inductor", "10k"),
        ("crystal", "ABM8"),
        ("led", "red"),
        ("resistor", "9" * 300),
    ],
)
def test_no_value(kind: str, text: str) -> None:
    assert read_value(text, kind) is None


def test_same_value() -> None:
    a = _read("100nF", "capacitor")
    assert all(same_value(a, _read(t, "capacitor")) for t in ("0.1uF", "0,1u", "100n/16V", "104"))
    assert not same_value(a, _read("110nF", "capacitor"))
    assert same_value(_read("0R", "resistor"), _read("0", "resistor"))
    plain, eight, twelve = (_read(t, "crystal") for t in ("16MHz", "16M 8pF", "16M 12pF"))
    assert same_value(plain, eight)
    assert not same_value(eight, twelve)


@pytest.mark.parametrize(
    ("text", "unfitted"),
    [
        ("DNP", True),
        ("dnf", True),
        ("10k DNP", True),
        ("DNP_10k", True),
        ("NF", True),
        ("10k (n.m.)", True),
        ("N/M", True),
        ("NA", True),
        ("Do not populate", True),
        ("not fitted", True),
        ("nostuff", True),
        ("100 NF", False),
        ("100NF", False),
        ("10uF NP", False),
        ("625 nm", False),
        ("NP0", False),
        ("10k", False),
        ("", False),
        ("FINDER", False),
    ],
)
def test_unfitted_text(text: str, unfitted: bool) -> None:
    assert unfitted_text(text) is unfitted


_DECADES = {
    "resistor": {"R": 0, "k": 3, "M": 6},
    "capacitor": {"p": -12, "n": -9, "u": -6},
    "inductor": {"n": -9, "u": -6},
}
_UNIT = {"resistor": "ohm", "capacitor": "F", "inductor": "H"}


@given(
    st.sampled_from(sorted(_DECADES)),
    st.sampled_from(SERIES["E96"]),
    st.integers(0, 2),
    st.data(),
)
def test_every_style_says_the_same(
    kind: str, figures: int, point: int, data: st.DataObject
) -> None:
    """Eight ways to write one value, all read back as that value."""
    prefix = data.draw(st.sampled_from(sorted(_DECADES[kind])))
    whole, part = str(figures)[: point + 1], str(figures)[point + 1 :]
    decimal = f"{whole}.{part}" if part else whole
    written = "" if prefix == "R" else prefix
    unit = _UNIT[kind]
    styles = [
        f"{whole}{prefix}{part}",
        f"{decimal}{prefix}",
        f"{decimal}{written}{unit}",
        f"{decimal} {written}{unit}",
        f"{decimal}{prefix}".replace(".", ","),
        f"{whole}{prefix}{part}/0402",
        f"{decimal}{prefix} 5%",
        f"{decimal} {written}{unit} DNP".replace("u", "\N{MICRO SIGN}"),
    ]
    expected = float(f"{decimal}e{_DECADES[kind][prefix]}")
    for style in styles:
        found = _read(style, kind)
        assert (style, found.nominal, found.doubtful) == (style, expected, ())


@given(st.text(max_size=40), st.sampled_from(KINDS))
def test_any_text_is_harmless(text: str, kind: str) -> None:
    found = read_value(text, kind)
    assert found is None or found.nominal >= 0
    assert unfitted_text(text) in (True, False)
