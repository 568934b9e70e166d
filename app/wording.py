"""How the words of reports and pages begin and end."""

from __future__ import annotations


def capital(words: str) -> str:
    """Words with a capital at their start, the rest as they are: names of motors and units keep theirs."""
    return f"{words[:1].upper()}{words[1:]}"


def sentence(words: str) -> str:
    """Words as a sentence."""
    return f"{capital(words)}."
