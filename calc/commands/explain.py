"""The command that says what a field, a verdict or a symbol is."""

# ruff: noqa: PLC0415 - heavy imports wait until the command needs them, so that help stays quick

import click

from calc.commands.common import width


@click.command(epilog="Example: sandsleeve explain columns.spacing")
@click.argument("name", metavar="FIELD|VERDICT|SYMBOL")
def explain(name: str) -> None:
    """Say what a field, a table, a verdict or a symbol is.

    Meaning, unit, range, default, example and source; for a field where it acts and which verdicts descend from it, for
    a verdict what it compares and the fields that it descends from. Both are those of the runs of the example projects.
    """
    from calc.terminal.explanation import explanation, near

    text = explanation(name, width())
    if not text:
        names = near(name)
        message = f"no field, table, verdict or symbol is named {name}"
        raise click.UsageError(f"{message}; near: {', '.join(names)}." if names else f"{message}.")
    click.echo(text)
