"""Commands as scripts use them: one JSON document on standard output; one line and exit code 2 when refused."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

ROOT = Path(__file__).resolve().parents[1]


def answer_of(name, *arguments):
    """The answer and what was said beside it."""
    out, err = StringIO(), StringIO()
    call_command(name, "--json", *arguments, stdout=out, stderr=err)
    return json.loads(out.getvalue(), parse_constant=lambda text: pytest.fail(f"{text} is no JSON")), err.getvalue()


def told(name, *arguments):
    """What a person reads."""
    out = StringIO()
    call_command(name, *arguments, stdout=out, stderr=StringIO())
    return out.getvalue()


def refused(name, *arguments):
    """The one line of a refusal."""
    with pytest.raises(CommandError) as refusal:
        call_command(name, "--json", *arguments, stdout=StringIO())
    assert refusal.value.returncode == 2
    text = str(refusal.value)
    assert "\n" not in text
    return text
