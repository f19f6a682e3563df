"""What the command line says: in the language asked for, on the right stream, with an exit code."""

from __future__ import annotations

import json
import sys
import time
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offgrid_sizing import __version__
from offgrid_sizing.printable import printable
from offgrid_sizing.sketch import BadInput, reason_of
from offgrid_sizing.words import DEFAULT, LANGUAGES, Saying, Sentence, said, sentence, to_words

if TYPE_CHECKING:
    from offgrid_sizing.outcome import Outcome

BAD_INPUT, UNEXPECTED = 2, 1
_LANGUAGE = "offgrid_sizing.language"


def language() -> str:
    """The language asked for with `--language`, also where the command itself was refused."""
    context = click.get_current_context(silent=True)
    return context.meta.get(_LANGUAGE, DEFAULT) if context else DEFAULT


def _asked_for(words: Sequence[str]) -> str:
    """What stands behind the last `--language`; looked for before the rest can be refused."""
    given = list(words)[: words.index("--")] if "--" in words else list(words)
    asked = DEFAULT
    for word, following in zip(given, [*given[1:], ""], strict=True):
        name, _, value = word.partition("=")
        if name == "--language":
            asked = value or following
    return asked if asked in LANGUAGES else DEFAULT


class SentenceGroup(click.Group):
    """Turns what goes wrong into sentences on stderr and an exit code."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Note the language before anything can go wrong."""
        ctx.meta[_LANGUAGE] = _asked_for(args)
        return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context):
        """Run a command; bad input ends with code 2, a fault of ours with code 1."""
        try:
            return super().invoke(ctx)
        except BadInput as error:
            for one in error.sentences:
                say(one)
            ctx.exit(BAD_INPUT)
        except BrokenPipeError:
            ctx.exit(0)
        except OSError as error:
            say(_no_access(error))
            ctx.exit(BAD_INPUT)
        except click.UsageError as error:
            if language() == DEFAULT:
                raise
            say(_misuse(error))
            ctx.exit(error.exit_code)
        except (click.exceptions.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except Exception:  # the last resort: a sentence and a diagnostic file, no traceback
            say(_saved_diagnostic())
            ctx.exit(UNEXPECTED)


def _no_access(error: OSError) -> str:
    if error.errno is None and error.args:  # raised by this program: a table is missing
        return error.args[0]
    reason = reason_of(error)
    if not error.filename:
        return sentence("cli.no_access", reason=reason)
    return sentence("cli.no_access_to", name=str(error.filename), reason=reason)


def _misuse(error: click.UsageError) -> Sentence:
    """What click refuses, with where to read on; what is rare stays in click's own words."""
    context = error.ctx or click.get_current_context()
    return sentence("cli.usage.see", what=_misused(error), command=context.command_path)


def _misused(error: click.UsageError) -> str | Saying:
    if isinstance(error, click.NoSuchOption):
        return said("cli.usage.no_option", name=error.option_name)
    if isinstance(error, click.BadOptionUsage):
        return said("cli.usage.needs_value", name=error.option_name)
    if isinstance(error, click.BadParameter) and error.param is not None:
        name = error.param.get_error_hint(error.ctx)
        if isinstance(error, click.MissingParameter):
            return said(f"cli.usage.missing_{error.param.param_type_name}", name=name)
        return said("cli.usage.bad_value", name=name, wanted=_wanted(error.param.type))
    words, _, rest = error.message.partition(" '")
    if words == "No such command":
        return said("cli.usage.no_command", name=rest.partition("'")[0])
    if words.startswith("Got unexpected extra argument"):
        return said("cli.usage.too_many", names=error.message.partition("(")[2].rstrip(")"))
    return error.message


def _wanted(kind: click.ParamType) -> Saying:
    if isinstance(kind, click.Choice):
        return said("cli.usage.one_of", choices=", ".join(kind.choices))
    if isinstance(kind, click.IntRange):
        return said("cli.usage.within", least=kind.min, most=kind.max)
    return said("cli.usage.integer" if kind is click.INT else "cli.usage.number")


def _saved_diagnostic() -> Sentence:
    from offgrid_sizing.paths import user_dir

    text = f"offgrid-sizing {__version__}\n{' '.join(sys.argv)}\n{traceback.format_exc()}"
    fault = traceback.format_exc().strip().rpartition("\n")[2]
    try:
        folder = user_dir() / "diagnostics"
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"command-{time.strftime('%Y%m%d-%H%M%S')}.txt"
        path.write_text(text, encoding="utf-8", errors="backslashreplace")
    except OSError as error:  # a full or locked disk must not hide the fault itself
        return sentence("cli.fault_unsaved", fault=fault, reason=reason_of(error))
    return sentence("cli.fault", path=str(path))


def say(text: str | Saying) -> None:
    """Progress, on stderr so that stdout stays clean."""
    click.echo(printable(to_words(text, language())), err=True)


def wrote(*paths: Path) -> None:
    """Say which files were written."""
    for path in paths:
        say(sentence("cli.wrote", path=str(path)))


def answer(text: str | Saying) -> None:
    """One line on stdout; names in it must not steer the terminal."""
    click.echo(printable(to_words(text, language())))


def hand_over(outcome: Outcome, path: Path, theme: str, against: str = "") -> None:
    """Say that a paper of two pages was written, and whatever stands against it.

    `theme` is the catalogue's that holds `not_ready`.
    """
    wrote(path)
    if against:
        say(against)
    if not outcome.wiring.ok:
        say(sentence(f"{theme}.not_ready", headline=outcome.wiring.headline))
    say(said("cautions.licensed"))
    answer(outcome.sentence)


def answer_json(report: dict[str, Any]) -> None:
    """A report on stdout; what could steer the terminal is written as JSON's own escapes."""
    worded = _worded(report, language())
    text = json.dumps(worded, indent=2, ensure_ascii=False, default=str)
    safe = (c if c == "\n" or printable(c) == c else json.dumps(c)[1:-1] for c in text)
    click.echo("".join(safe))


def _worded(value: Any, tongue: str) -> Any:
    if isinstance(value, dict):
        return {name: _worded(one, tongue) for name, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_worded(one, tongue) for one in value]
    return to_words(value, tongue) if isinstance(value, (str, Saying)) else value


def check_port(address: str, port: int) -> None:
    """Refuse an address that is none, or a port that another program listens on.

    Raises
    ------
    BadInput
    """
    import socket

    try:
        found = socket.getaddrinfo(address, port, type=socket.SOCK_STREAM)
        family, kind, _, _, where = min(found, key=lambda one: one[0] != socket.AF_INET)
        with socket.socket(family, kind) as probe:
            if sys.platform != "win32":  # there it would take a port that is in use
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(where)
    except (socket.gaierror, UnicodeError):
        raise BadInput(sentence("cli.no_such_address", address=address)) from None
    except OSError as error:
        values = {"address": address, "port": str(port), "reason": reason_of(error)}
        raise BadInput(sentence("cli.port_taken", **values)) from None
