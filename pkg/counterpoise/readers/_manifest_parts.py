"""The tables of the manifest that name parts and rules: [parts.…], [rules.…], [[waivers]]."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from types import MappingProxyType

from counterpoise.catalog.facts import FACTS, fact
from counterpoise.catalog.rules import RuleLimit, all_rules
from counterpoise.catalog.toml import nearest
from counterpoise.catalog.vocabulary import ROLES
from counterpoise.model.facts import Origin
from counterpoise.model.manifest import PartFacts, RuleOverride, Waiver
from counterpoise.readers._manifest_section import Section
from counterpoise.values.ranges import Range
from counterpoise.values.units import quantity_range

TERMINALS = ("common", "open", "closed")
FACINGS = ("front", "top", "bottom", "left", "right", "any")
PLUNGERS = ("up", "down", "left", "right")
_PLUNGER_WORDS = {"top": "up", "bottom": "down"}
_OWN = ("role", "card", "fitted", "faces", "plunger", "terminals")


def parts(top: Section) -> Mapping[str, PartFacts]:
    """[parts.REF] by ref."""
    return MappingProxyType({ref: _part(table) for ref, table in top.sections("parts").items()})


def _part(table: Section) -> PartFacts:
    line = table.line()
    return PartFacts(
        role=_role(table),
        card=table.text("card"),
        fitted=table.flag("fitted"),
        faces=table.choice("faces", FACINGS),
        plunger=table.choice("plunger", PLUNGERS, _PLUNGER_WORDS),
        terminals=_terminals(table),
        facts=MappingProxyType({key: _fact(table, key, v) for key, v in table.rest().items()}),
        origin=Origin(table.file, line) if line is not None else None,
    )


def _role(table: Section) -> str | None:
    role = table.text("role")
    if role is not None and role not in ROLES:
        hint = nearest(role, ROLES) or f"; known: {', '.join(ROLES)}"
        raise table.error("role", f'there is no role "{role}"{hint}')
    return role


def _fact(table: Section, key: str, value: object) -> Range | str | bool:
    if key not in FACTS:
        raise table.unknown(key, (*_OWN, *FACTS))
    try:
        return fact(key, value)
    except ValueError as error:
        raise table.error(key, str(error)) from error


def _terminals(table: Section) -> Mapping[str, str]:
    inner = table.section("terminals")
    if inner is None:
        return MappingProxyType({})
    found: dict[str, str] = {}
    for name, pin in inner.rest().items():
        if name not in TERMINALS:
            raise inner.unknown(name, TERMINALS)
        if isinstance(pin, bool) or not isinstance(pin, str | int) or not str(pin).strip():
            raise inner.error(name, 'expected a pin number such as "1"')
        if str(pin).strip() in found.values():
            raise inner.error(name, f'pin "{pin}" is named twice')
        found[name] = str(pin).strip()
    return MappingProxyType(found)


def rules(top: Section) -> Mapping[str, RuleOverride]:
    """[rules.SLUG] by slug."""
    found: dict[str, RuleOverride] = {}
    for slug, table in top.sections("rules").items():
        if slug not in all_rules():
            hint = nearest(slug, all_rules())
            raise table.error(None, f'there is no rule "{slug}"{hint}')
        severity = table.choice("severity", ("stop", "caution", "off"))
        inner = table.section("limits")
        known = all_rules()[slug].limits
        limits: dict[str, Range] = {}
        for name, value in inner.rest().items() if inner else ():
            own = name if name in known else name.replace("_", "-")
            limits[own] = _limit(inner or table, name, value, known)
        table.done()
        found[slug] = RuleOverride(severity, MappingProxyType(limits))
    return MappingProxyType(found)


def _limit(table: Section, name: str, value: object, known: Mapping[str, RuleLimit]) -> Range:
    """A bound as the manifest restates it: one value moves the end that the rule has."""
    own = name if name in known else name.replace("_", "-")
    if own not in known:
        if not known:
            raise table.error(name, "this rule has no limits")
        raise table.unknown(name, known)
    limit = known[own]
    if (
        limit.dimension == "number"
        and isinstance(value, int | float)
        and not isinstance(value, bool)
    ):
        value = str(value)
    if not isinstance(value, str):
        raise table.error(name, "expected a text with a number and its unit")
    try:
        stated = quantity_range(value, limit.dimension)
    except ValueError as error:
        raise table.error(name, str(error)) from error
    if not stated.sure:
        return stated
    if math.isinf(limit.range.low):
        return Range(-math.inf, stated.high)
    if math.isinf(limit.range.high):
        return Range(stated.low, math.inf)
    raise table.error(
        name, f'this limit has two ends; expected two values joined by "to", got "{value}"'
    )


def waivers(top: Section) -> tuple[Waiver, ...]:
    """[[waivers]] in file order."""
    return tuple(_waiver(table) for table in top.array("waivers"))


def _waiver(table: Section) -> Waiver:
    rule = table.required("rule", "the name of the rule that is waived")
    if rule not in all_rules():
        raise table.error("rule", f'there is no rule "{rule}"{nearest(rule, all_rules())}')
    subject = table.required("subject", 'the part it is waived for, or "*"')
    reason = table.required("reason", "why it does not matter here")
    until = _date(table)
    line = table.line()
    table.done()
    return Waiver(rule, subject, reason, until, Origin(table.file, line) if line else None)


def _date(table: Section) -> str | None:
    value = table.take("until")
    if value is None:
        return None
    if isinstance(value, datetime.datetime):
        value = value.date()
    if isinstance(value, datetime.date):
        return value.isoformat()
    try:
        return datetime.date.fromisoformat(str(value)).isoformat()
    except ValueError as error:
        raise table.error(
            "until", f'expected a date such as "2027-01-31", got "{value}"'
        ) from error
