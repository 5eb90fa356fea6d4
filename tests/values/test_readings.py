"""One word of a value, reading by reading: prefix, unit, letter and code of each kind of part."""

from __future__ import annotations

import pytest

from counterpoise.values.partvalue import read_value

P, N, U, M, K, MEG, G = 1e-12, 1e-9, 1e-6, 1e-3, 1e3, 1e6, 1e9
"""The prefixes of the SI (BIPM, The International System of Units, table 7)."""

READ = [
    # every prefix with a unit
    ("resistor", "2mR", 2 * M),
    ("resistor", "2 ohm", 2.0),
    ("resistor", "2kohm", 2 * K),
    ("resistor", "2K", 2 * K),
    ("resistor", "2Mohm", 2 * MEG),
    ("resistor", "2meg", 2 * MEG),
    ("resistor", "2MEG", 2 * MEG),
    ("resistor", "2Megohms", 2 * MEG),
    ("resistor", "2G", 2 * G),
    ("resistor", "2r", 2.0),
    ("resistor", ".5R", 0.5),
    ("capacitor", "2pF", 2 * P),
    ("capacitor", "2PF", 2 * P),
    ("capacitor", "2N", 2 * N),
    ("capacitor", "2U", 2 * U),
    ("capacitor", "2uF", 2 * U),
    ("capacitor", "2F", 2.0),
    ("capacitor", "2f", 2.0),
    ("capacitor", "2pfd", 2 * P),  # "fd" for farad, as American drawings had it
    ("capacitor", "2nFd", 2 * N),
    ("capacitor", "2uFD", 2 * U),
    ("capacitor", "2mfd", 2 * U),
    ("capacitor", "2MFd", 2 * U),
    ("inductor", "2pH", 2 * P),
    ("inductor", "2N", 2 * N),
    ("inductor", "2uH", 2 * U),
    ("inductor", "2mH", 2 * M),
    ("inductor", "2H", 2.0),
    ("crystal", "2Hz", 2.0),
    ("crystal", "2KHz", 2 * K),
    ("crystal", "2k", 2 * K),
    ("crystal", "2mhz", 2 * MEG),
    ("crystal", "2M", 2 * MEG),
    ("resonator", "2MHz", 2 * MEG),
    ("fuse", "2A", 2.0),
    ("fuse", "2mA", 2 * M),
    ("fuse", "2uA", 2 * U),
    ("fuse", "F2A5", 2.5),
    ("led", "2mA", 2 * M),
    # the letter as decimal point (IEC 60062)
    ("resistor", "R22", 0.22),
    ("resistor", "r22", 0.22),
    ("resistor", "2r2", 2.2),
    ("resistor", "2k2", 2.2 * K),
    ("resistor", "2K2", 2.2 * K),
    ("resistor", "2M2", 2.2 * MEG),
    ("resistor", "2G2", 2.2 * G),
    ("resistor", "2L2", 2.2 * M),  # L for thousandths, as current-sense resistors are marked
    ("resistor", "2R2ohms", 2.2),
    ("capacitor", "p22", 0.22 * P),
    ("capacitor", "n22", 0.22 * N),
    ("capacitor", "2P2", 2.2 * P),
    ("capacitor", "2n2", 2.2 * N),
    ("capacitor", "2U2", 2.2 * U),
    ("capacitor", "2p2F", 2.2 * P),
    ("capacitor", "2F2", 2.2),
    ("capacitor", "0R5", 0.5 * P),  # R for the point of picofarads, as order codes have it
    ("inductor", "n22", 0.22 * N),
    ("inductor", "2N2", 2.2 * N),
    ("inductor", "2u2H", 2.2 * U),
    ("inductor", "R22", 0.22 * U),  # R for the point of microhenries
    ("inductor", "2R2", 2.2 * U),
    ("inductor", "m22", 0.22 * M),
    ("inductor", "2m2", 2.2 * M),
    ("inductor", "H22", 0.22),
    ("inductor", "2H2", 2.2),
    ("crystal", "2k2", 2.2 * K),
    ("crystal", "2M2Hz", 2.2 * MEG),
    ("crystal", "2K2", 2.2 * K),
    # two figures and the count of zeros (EIA three-digit code), picofarads or microhenries
    ("capacitor", "101", 100 * P),
    ("capacitor", "222J", 2.2 * N),
    ("capacitor", "105M", 1 * U),
    ("capacitor", "473", 47 * N),
    ("capacitor", "100G", 10 * P),
    ("capacitor", "104Z", 100 * N),  # Z: -20 to +80 % (IEC 60062), of which no one figure is told
    ("inductor", "472", 4.7 * M),
]


@pytest.mark.parametrize(("kind", "text", "value"), READ)
def test_one_reading(kind: str, text: str, value: float) -> None:
    found = read_value(text, kind)
    assert found is not None
    assert found.nominal == pytest.approx(value, rel=1e-12, abs=0)
    assert found.doubtful == ()


@pytest.mark.parametrize(
    ("kind", "text", "readings"),
    [
        ("resistor", "2m", (2 * M, 2 * MEG)),
        ("resistor", "2m2", (2.2 * M, 2.2 * MEG)),
        ("resistor", "2E3", (2.3, 2 * K)),  # E for the point, or a power of ten
        ("resistor", "3E150", (3.15, 3e99)),
        ("resistor", "473", (473.0, 47 * K)),
        ("capacitor", "2mF", (2 * M, 2 * U)),
        ("capacitor", "2MF", (2 * M, 2 * U)),
        ("capacitor", "2m", (2 * M, 2 * U)),
        ("capacitor", "2m2", (2.2 * M, 2.2 * U)),
        ("capacitor", "m22", None),
        ("capacitor", "220", (220 * P, 22 * P, 220 * U)),
        ("capacitor", "330", (330 * P, 33 * P, 330 * U)),
        ("capacitor", "0.99", (0.99 * U, 0.99 * P)),
        ("capacitor", "1.0", (1 * P, 1 * U)),
        ("capacitor", "48", (48 * P, 48 * U)),
        ("capacitor", "482", (482 * P, 482 * U)),  # 48 is no value of E24: no code
        ("capacitor", "008", (8 * P, 8 * U)),
        ("capacitor", "108", (108 * P, 108 * U)),  # eight zeros: no code
        ("inductor", "220", (220 * U, 22 * U, 220 * N)),
        ("inductor", "10.0", (10 * U, 10 * N)),
        ("inductor", "482", (482 * U, 482 * N)),
        ("crystal", "9999", (9999 * MEG, 9999 * K)),
        ("crystal", "32.7680", (32768.0, 32.768 * MEG)),
        ("crystal", "32.5", (32.5 * MEG, 32.5 * K)),
    ],
)
def test_several_readings(kind: str, text: str, readings: tuple[float, ...] | None) -> None:
    found = read_value(text, kind)
    if readings is None:
        assert found is None
        return
    assert found is not None
    assert (found.nominal, *found.doubtful) == pytest.approx(readings, rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("capacitor", "5M"),
        ("capacitor", "5Meg"),
        ("capacitor", "220M"),
        ("capacitor", "482M"),
        ("capacitor", "482K"),
        ("capacitor", "1045K"),
        ("capacitor", "10K"),
        ("capacitor", "104Z9"),
        ("inductor", "5k"),
        ("crystal", "5p"),
        ("crystal", "5R5"),
        ("fuse", "5"),
        ("fuse", "0A"),
        ("led", "20"),
        ("inductor", "0uH"),
        ("capacitor", "0.0"),
        ("crystal", "0"),
    ],
)
def test_no_reading(kind: str, text: str) -> None:
    assert read_value(text, kind) is None


# IEC 60062: F 1 %, G 2 %, J 5 %, K 10 %, M 20 % behind the value.
@pytest.mark.parametrize(
    ("kind", "text", "value", "tolerance"),
    [
        ("resistor", "4k7F", 4.7 * K, 0.01),
        ("resistor", "R47G", 0.47, 0.02),
        ("resistor", "4R7K", 4.7, 0.1),
        ("resistor", "4E7J", 4.7, 0.05),
        ("resistor", "4m7J", 4.7 * M, 0.05),
        ("resistor", "10KF", 10 * K, 0.01),
        ("resistor", "10MJ", 10 * MEG, 0.05),
        ("resistor", "100RK", 100.0, 0.1),
        ("resistor", "10kohmJ", 10 * K, 0.05),
        ("capacitor", "4u7K", 4.7 * U, 0.1),
        ("capacitor", "4m7M", 4.7 * M, 0.2),
        ("capacitor", "100nJ", 100 * N, 0.05),
        ("capacitor", "100nFG", 100 * N, 0.02),
        ("capacitor", "1FM", 1.0, 0.2),
        ("capacitor", "2mFM", 2 * M, 0.2),
        ("capacitor", "2mfdK", 2 * U, 0.1),
        ("capacitor", "104J", 100 * N, 0.05),
        ("capacitor", "104M", 100 * N, 0.2),
        ("inductor", "4u7M", 4.7 * U, 0.2),
        ("inductor", "R47K", 0.47 * U, 0.1),
        ("inductor", "10uHJ", 10 * U, 0.05),
        ("inductor", "10uK", 10 * U, 0.1),
    ],
)
def test_the_letter_behind_is_the_tolerance(
    kind: str, text: str, value: float, tolerance: float
) -> None:
    found = read_value(text, kind)
    assert found is not None
    assert found.nominal == pytest.approx(value, rel=1e-12, abs=0)
    assert found.tolerance == tolerance


def test_zero_is_a_value_of_resistors_alone() -> None:
    for text in ("0", "0R", "0ohm", "000"):
        found = read_value(text, "resistor")
        assert found is not None
        assert found.nominal == 0.0
