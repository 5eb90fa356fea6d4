"""Rule files: every mistake is one line with file, key and what was expected."""

from __future__ import annotations

from pathlib import Path

import pytest

from counterpoise.catalog.rules import read_rule
from counterpoise.catalog.toml import CatalogError, Table, load, nearest
from counterpoise.values.ranges import Range

GOOD: dict[str, object] = {
    "severity": "stop",
    "rank": "kills",
    "needs": ["netlist"],
    "asks": "is it so?",
    "why": "because",
    "absent": "no such part",
    "says": {"low": "{part} is low"},
    "remedy": "raise it",
    "limits": {"volts": {"dimension": "voltage", "min": "3 V", "source": "a standard"}},
}


def without(key: str) -> dict[str, object]:
    return {k: v for k, v in GOOD.items() if k != key}


def test_good_rule() -> None:
    rule = read_rule("power.toml", "some-rule", GOOD)
    assert (rule.slug, rule.domain, rule.severity.value) == ("some-rule", "power", "stop")
    assert rule.limit("volts") == Range(3.0, float("inf"))
    changed = rule.with_limits({"volts": Range(2.0, 4.0)})
    assert changed.limit("volts") == Range(2.0, 4.0)
    assert changed.limits["volts"].source == "stated in the manifest"
    assert rule.limit("volts").low == 3.0
    with pytest.raises(KeyError):
        rule.with_limits({"amps": Range(1.0, 2.0)})


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (without("severity"), "[some-rule] severity: this key is required"),
        (without("remedy"), "[some-rule] remedy: this key is required"),
        ({**GOOD, "severity": "error"}, '[some-rule] severity: expected "stop" or "caution"'),
        (
            {**GOOD, "rank": "worst"},
            "[some-rule] rank: expected one of burns, kills, weakens, paperwork",
        ),
        ({**GOOD, "remdy": "x"}, '[some-rule] remdy: unknown key (did you mean "remedy"?)'),
        ({**GOOD, "zzz": "x"}, "[some-rule] zzz: unknown key"),
        (
            {**GOOD, "needs": ["netlst"]},
            '[some-rule] needs: unknown need "netlst" (did you mean "netlist"?)',
        ),
        ({**GOOD, "needs": [1]}, "[some-rule] needs: expected a list of texts"),
        ({**GOOD, "why": 3}, "[some-rule] why: expected str, got int"),
        ({**GOOD, "why": True}, "[some-rule] why: expected str, got bool"),
        (
            {**GOOD, "remedies": {"lo": "x"}},
            '[some-rule] remedies.lo: no such case in says (did you mean "low"?)',
        ),
        (
            {**GOOD, "limits": {"v": {"dimension": "voltge", "min": "3 V", "source": "s"}}},
            '[some-rule.limits.v] dimension: unknown dimension (did you mean "voltage"?)',
        ),
        (
            {**GOOD, "limits": {"v": {"dimension": "voltage", "source": "s"}}},
            '[some-rule.limits.v]: a limit needs "min", "max" or both',
        ),
        (
            {**GOOD, "limits": {"v": {"dimension": "voltage", "min": "3 mA", "source": "s"}}},
            '[some-rule.limits.v] min: "3 mA" is not a voltage; expected one such as "3.7 V"',
        ),
        (
            {**GOOD, "limits": {"v": {"dimension": "voltage", "max": "3 V"}}},
            "[some-rule.limits.v] source: this key is required",
        ),
    ],
)
def test_bad_rule(data: dict[str, object], message: str) -> None:
    with pytest.raises(CatalogError) as caught:
        read_rule("power.toml", "some-rule", data)
    assert str(caught.value) == f"power.toml: {message}"


@pytest.mark.parametrize("slug", ["Some-Rule", "some_rule", "some--rule", "rule-2", ""])
def test_bad_slug(slug: str) -> None:
    with pytest.raises(CatalogError) as caught:
        read_rule("power.toml", slug, GOOD)
    assert caught.value.expected == "a rule's name is lower-case words joined by hyphens"


def test_not_toml(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text("[a]\nb = \n", "utf-8")
    with pytest.raises(CatalogError) as caught:
        load(path)
    assert str(caught.value).startswith("x.toml: not readable as TOML: ")
    assert "line 2" in str(caught.value)


def test_not_utf8(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(b'a = "\xff"\n')
    with pytest.raises(CatalogError, match="not readable as TOML"):
        load(path)


def test_nearest() -> None:
    assert nearest("suply", ["supply", "output"]) == ' (did you mean "supply"?)'
    assert nearest("zzzz", ["supply", "output"]) == ""


def test_table_hands_out_what_is_left() -> None:
    table = Table("x.toml", "a", {"b": "c", "d": 1})
    assert table.text("b") == "c"
    assert table.rest() == {"d": 1}
    table.done()


def test_true_is_no_number() -> None:
    table = Table("x.toml", "a", {"b": True})
    with pytest.raises(CatalogError) as caught:
        table.take("b", int)
    assert str(caught.value) == "x.toml: [a] b: expected int, got bool"
