"""How the entry of a thing that never was is told apart from a thing that left: it begins so."""

MISTAKE = "entered by mistake"


def never_was(gone_how: str) -> bool:
    """Whether what is said of how a thing left says that it never was here."""
    return gone_how.startswith(MISTAKE)
