"""Settings of an instrument: readings at different ones are of one scale, but do not say the same."""

from collections.abc import Iterable

Settings = tuple[str, float | None]  # as written down, and the filament voltage that was set, V
UNSAID: Settings = ("", None)


def plain_settings(settings: Settings) -> Settings:
    """The same with words in one case and spacing, so that alike ones are equal."""
    text, volts = settings
    return " ".join(text.casefold().split()), volts


def differ(settings: Iterable[Settings]) -> bool:
    """Whether some readings were taken at different settings; what was not written down speaks for nothing."""
    words, volts = set(), set()
    for text, volt in map(plain_settings, settings):
        words.add(text)
        volts.add(volt)
    return len(words - {""}) > 1 or len(volts - {None}) > 1
