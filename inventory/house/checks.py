"""Settings checks of our own: what is wrong and how to mend it."""

from typing import Any

from django.conf import settings
from django.core.checks import Error, Warning, register

SETTINGS = "settings"


@register(SETTINGS)
def reference_tables_are_here(**_: Any) -> list[Error]:
    """house.E001: the reference tables lie where the settings say."""
    if (settings.REFERENCE_DIR / "designations.csv").exists():
        return []
    hint = "Restore fixtures/reference/ from the repository, or name another folder with load_reference --dir."
    return [Error(f"No reference tables in {settings.REFERENCE_DIR}.", hint=hint, id="house.E001")]


@register(SETTINGS, deploy=True)
def a_server_for_others_uses_postgres_or_backs_up(**_: Any) -> list[Warning]:
    """house.W002: a host name other than this machine with SQLite wants a backup plan."""
    local = {"127.0.0.1", "localhost", "[::1]"}
    engine = settings.DATABASES["default"]["ENGINE"]
    if set(settings.ALLOWED_HOSTS) <= local or not engine.endswith("sqlite3"):
        return []
    hint = "Set DATABASE_URL to PostgreSQL for several writers, or silence house.W002 and copy the file every night."
    return [Warning("Served to other machines from one SQLite file.", hint=hint, id="house.W002")]
