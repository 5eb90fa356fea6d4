"""What several commands share: a path made into a board, the rules picked, the report put together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import click

from counterpoise.catalog.cards import Card, all_cards, read_user_cards
from counterpoise.catalog.fab import read_user_profiles
from counterpoise.catalog.rules import Rule, all_rules
from counterpoise.catalog.toml import nearest
from counterpoise.checks.run import Check, function_of, judge
from counterpoise.model.facts import Need
from counterpoise.model.report import Area, Endurance, Estimates, Mass, Report
from counterpoise.model.verdicts import Severity
from counterpoise.readers.load import load
from counterpoise.roles.board import Board


@dataclass(frozen=True, slots=True)
class Files:
    """Files named on the command line; they win over the manifest's."""

    netlist: Path | None = None
    layout: Path | None = None
    bom: Path | None = None
    centroid: Path | None = None


def board_at(path: Path, files: Files | None = None) -> Board:
    """The board at a path, understood with the user's own cards and fabrication profiles first.

    Raises:
        InputError: a file is absent or cannot be used.
        CatalogError: a card or profile of the user's own is faulty.
    """
    files = files or Files()
    design = load(
        path, netlist=files.netlist, layout=files.layout, bom=files.bom, centroid=files.centroid
    )
    folder = path if path.is_dir() else path.parent
    return Board(design, (*_own_cards(path), *all_cards()), read_user_profiles(folder))


def _own_cards(path: Path) -> tuple[Card, ...]:
    return read_user_cards(path if path.is_dir() else path.parent)


def picked_rules(only: Iterable[str], skip: Iterable[str]) -> list[tuple[Rule, Check]]:
    """The rules to run, in catalogue order, with those of installed entry points after them.

    Raises:
        click.BadParameter: a slug that is not a rule; names the nearest.
    """
    found = [(rule, function_of(rule)) for rule in all_rules().values()]
    found += outside_rules()
    known = [rule.slug for rule, _ in found]
    wanted, unwanted = set(only), set(skip)
    for slug in sorted(wanted | unwanted):
        if slug not in known:
            raise click.BadParameter(f'there is no rule "{slug}"{nearest(slug, known)}')
    return [
        (rule, check)
        for rule, check in found
        if (not wanted or rule.slug in wanted) and rule.slug not in unwanted
    ]


def outside_rules() -> list[tuple[Rule, Check]]:
    """Rules that installed packages add under the entry point group ``counterpoise.checks``: each a
    function of (board, rule) that carries its Rule as the attribute ``rule``."""
    from importlib.metadata import entry_points

    points = sorted(entry_points(group="counterpoise.checks"), key=lambda point: point.name)
    return [(check.rule, check) for check in (point.load() for point in points)]


def examine(board: Board, rules: list[tuple[Rule, Check]], *, today: str | None = None) -> Report:
    """Judge a board and estimate it."""
    outcome = judge(board, rules, guard=True, today=today)
    design = board.design
    return Report(
        board=design.name,
        files=design.files,
        parts=len(board.circuit.parts),
        nets=len(board.circuit.nets),
        findings=outcome.findings,
        coverage=outcome.coverage,
        estimates=estimates_of(board),
        notes=(*design.notes, *_panel(board)),
        cautions=tuple(_cautions(board)),
    )


def _panel(board: Board) -> Iterable[str]:
    if board.layout is None:
        return ()
    from counterpoise.estimates.area import panel_note

    note = panel_note(board)
    return () if note is None else (note,)


def estimates_of(board: Board) -> Estimates:
    """Area, mass and run time, each as far as the files allow."""
    size, weight = _drawn(board)
    return Estimates(area=size, mass=weight, endurance=_runs(board))


def _drawn(board: Board) -> tuple[Area | None, Mass | None]:
    if board.layout is None:
        return None, None
    from counterpoise.estimates.area import area
    from counterpoise.estimates.mass import mass

    size, weight = area(board), mass(board)
    return (
        None if isinstance(size, Need) else size,
        None if isinstance(weight, Need) else weight,
    )


def _runs(board: Board) -> Endurance | None:
    """The run time, where the manifest states a mode or the cell's capacity."""
    if not board.manifest.modes and board.manifest.cell.capacity_ah is None:
        return None
    from counterpoise.estimates.endurance import endurance

    return endurance(board)


def _cautions(board: Board) -> Iterable[str]:
    said = []
    if board.parts_as("cell", "charger"):
        said.append(
            "a lithium cell can burn: charge a new board the first time on a surface that "
            "does not burn, watched, with a current limit"
        )
    if board.parts_as("radio", "radio-module", "antenna"):
        said.append("a transmitter may be used only as the local rules allow")
    if said:
        yield (
            f"Cautions: {'; '.join(said)}. Passing these rules is no certificate; local rules and "
            "accredited laboratories decide."
        )


def fails(
    report: Report, rules: list[tuple[Rule, Check]], *, strict: bool, known: frozenset[str]
) -> bool:
    """Whether the report ends ``check`` with status 1: a stop that stands and is new; with ``strict``
    also a caution, or a stop rule that could not be judged."""
    new = [f for f in report.findings if f.waived is None and f.fingerprint not in known]
    if any(f.severity is Severity.STOP or strict for f in new):
        return True
    stopping = {rule.slug for rule, _ in rules if rule.severity is Severity.STOP}
    return strict and any(c.verdict == "unknown" and c.rule in stopping for c in report.coverage)
