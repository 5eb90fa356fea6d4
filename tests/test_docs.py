"""The pages cannot go stale: their examples are read, every command is named and has help."""

from __future__ import annotations

import doctest
import pkgutil
import re
import tomllib
from importlib import import_module
from pathlib import Path

import click
import pytest

import counterpoise
from counterpoise.catalog.cards import read_cards
from counterpoise.cli.main import COMMANDS, group
from counterpoise.readers.manifest import parse

ROOT = Path(__file__).resolve().parents[1]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]


def blocks(page: str, language: str) -> list[str]:
    text = (ROOT / "docs" / page).read_text(encoding="utf-8")
    return re.findall(rf"```{language}\n(.*?)```", text, re.DOTALL)


def test_manifest_page_is_a_manifest() -> None:
    manifest, card = blocks("manifest.md", "toml")
    stated = parse(manifest)
    assert stated.cell.capacity_ah == pytest.approx(0.150)
    assert [m.share for m in stated.modes] == [0.7, pytest.approx(0.03)]
    (own,) = read_cards("own.toml", tomllib.loads(card))
    assert own.claims("XCH421")


def test_checking_page_holds_a_waiver() -> None:
    (waiver,) = blocks("checking.md", "toml")
    assert parse(waiver).waivers[0].until == "2027-06-30"


@pytest.mark.parametrize("name", COMMANDS)
def test_command_has_help_and_stands_in_the_readme(name: str) -> None:
    command = group.get_command(click.Context(group), name)
    assert command is not None
    assert command.help
    assert f"`{name} " in (ROOT / "README.md").read_text(encoding="utf-8")
    for option in command.params:
        if isinstance(option, click.Option):
            assert option.help, f"{name} {option.opts[0]} has no help"


def test_pages_are_read_as_one_line_links() -> None:
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
            if "://" not in target:
                assert (page.parent / target).exists(), f"{page.name} links to {target}"


@pytest.mark.parametrize(
    "module",
    [
        m.name
        for m in pkgutil.walk_packages(counterpoise.__path__, "counterpoise.")
        if "__main__" not in m.name
    ],
)
def test_doctests(module: str) -> None:
    failed, _ = doctest.testmod(import_module(module))
    assert failed == 0
