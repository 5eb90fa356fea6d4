"""``counterpoise rules``."""

from __future__ import annotations

from pathlib import Path

import click

from counterpoise.cli._output import colour_option, output_option


@click.command(name="rules")
@click.argument("slug", required=False, metavar="[RULE]")
@output_option
@colour_option
def command(slug: str | None, output: Path | None, no_colour: bool) -> int:
    """List the rules, or explain one: what, why, formula, limits, sources, how to fix."""
    from counterpoise.catalog.rules import all_rules
    from counterpoise.catalog.toml import nearest
    from counterpoise.cli import _output, _work
    from counterpoise.reports.catalogue import explain, listing

    rules = {**all_rules(), **{rule.slug: rule for rule, _ in _work.outside_rules()}}
    colour = _output.wants_colour(no_colour, output)
    if slug is None:
        text = listing(list(rules.values()), width=_output.width(), colour=colour)
    elif slug in rules:
        text = explain(rules[slug], width=_output.width(), colour=colour)
    else:
        raise click.BadParameter(f'there is no rule "{slug}"{nearest(slug, rules)}')
    _output.write(text, output)
    return 0
