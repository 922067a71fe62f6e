"""Settings of Filamentry: one file, everything that differs between places comes from the environment.

Without any variable set, the keeper's data live in `.data/` beside `manage.py` (SQLite, served on this machine only).
"""

import secrets
from pathlib import Path

import environ
import tzlocal

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()

DATA_DIR = Path(env.str("FILAMENTRY_DATA", default=str(BASE_DIR / ".data")))


def _secret_key() -> str:
    """The key from the environment, or one made once and kept beside the data (readable by the owner only)."""
    if key := env.str("SECRET_KEY", default=""):
        return key
    file = DATA_DIR / "secret_key"
    if not file.exists():
        DATA_DIR.mkdir(parents=True, exist_ok=True)
        file.touch(mode=0o600)
        file.write_text(secrets.token_urlsafe(60))
    return file.read_text().strip()


DEBUG = env.bool("DEBUG", default=False)
SECRET_KEY = _secret_key()
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["127.0.0.1", "localhost", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[])

# How far a long list is, for pages of every worker; the note must not lie in the database that is being written.
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"},
    "progress": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": DATA_DIR / "progress",
    },
}

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django_filters",
    "django_htmx",
    "simple_history",
    "inventory.house",
    "tubes",
    "inventory.holdings",
    "inventory.sets",
    "inventory.pairing",
    "inventory.running",
    "inventory.valuation",
    "inventory.restoration",
    "inventory.lists",
    "inventory.archive",
    "inventory.figures",
    "inventory.frontpage",
    "inventory.phone",
    "inventory.demo",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "inventory.house.nul.NoNul",
    "inventory.house.guard.own_things_only",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "inventory.house.busy.TellWhenBusy",
]

ROOT_URLCONF = "inventory.urls"
WSGI_APPLICATION = "inventory.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "inventory.house.access.role_in_template",
                "inventory.phone.views.whose_page",
            ],
            "builtins": [
                "inventory.house.template_filters",
                "inventory.holdings.wording.template_filters",
                "tubes.wording.template_filters",
                "inventory.pairing.wording.template_filters",
            ],
        },
    },
]

# --- database -------------------------------------------------------------------------------------------------------
_address = env("DATABASE_URL", default="") or f"sqlite:///{DATA_DIR / 'filamentry.sqlite3'}"  # set but empty: not set
DATABASES = {"default": env.db_url_config(_address)}
_database = DATABASES["default"]
_database["ATOMIC_REQUESTS"] = False  # every change is one action with a transaction of its own
if _database["ENGINE"].endswith("sqlite3"):
    if _database["NAME"] != ":memory:":
        Path(_database["NAME"]).parent.mkdir(parents=True, exist_ok=True)
    # Readers never wait for a writer (WAL); a writer takes its lock at once and waits its turn instead of failing.
    _database["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA cache_size=-32000;",
    }
else:
    _database["CONN_MAX_AGE"] = 60
    _database["CONN_HEALTH_CHECKS"] = True

# --- people ---------------------------------------------------------------------------------------------------------
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "frontpage:home"
LOGOUT_REDIRECT_URL = "login"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]

# --- words and figures ----------------------------------------------------------------------------------------------
LANGUAGE_CODE = "en-us"
TIME_ZONE = env.str("TIME_ZONE", default="") or tzlocal.get_localzone_name() or "UTC"  # the day ends at home
USE_I18N = True
USE_TZ = True
DATE_FORMAT = "Y-m-d"
USE_THOUSAND_SEPARATOR = False

# --- files ----------------------------------------------------------------------------------------------------------
STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "inventory" / "static"]
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # WhiteNoise warns about a folder that is not there
WHITENOISE_USE_FINDERS = True  # no collecting step: a clone serves its own style sheets
MEDIA_ROOT = DATA_DIR / "media"  # photographs and papers; no address leads there, pages hand them out after asking who
MEDIA_URL = "media/"
FILE_UPLOAD_PERMISSIONS, FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o600, 0o700
PAPER_MAX_MB = env.int("PAPER_MAX_MB", default=20)
IMPORT_MAX_MB = env.int("IMPORT_MAX_MB", default=60)
PAPER_MAX_MEGAPIXELS = env.int("PAPER_MAX_MEGAPIXELS", default=64)  # opening one takes about 8 bytes a pixel
STORAGES: dict[str, dict[str, object]] = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
if _bucket := env.str("MEDIA_BUCKET", default=""):  # an S3-style store instead; keys as boto3 finds them
    STORAGES["default"] = {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {
            "bucket_name": _bucket,
            "endpoint_url": env.str("MEDIA_ENDPOINT", default="") or None,
            "region_name": env.str("MEDIA_REGION", default="") or None,
            "location": env.str("MEDIA_FOLDER", default=""),
            "default_acl": None,
            "file_overwrite": False,
        },
    }
SITE_URL = env.str("SITE_URL", default="")  # what QR codes begin with; empty: the address they are asked under
REFERENCE_DIR = BASE_DIR / "fixtures" / "reference"
RATES_FILE = env.str("RATES_FILE", default="")  # newer reference rates than came with the program
DEMO_DIR = BASE_DIR / "fixtures" / "demo"

# --- safety of the wire (HTTPS=true behind a proxy that ends TLS) ---------------------------------------------------
HTTPS = env.bool("HTTPS", default=False)
SECURE_SSL_REDIRECT = HTTPS
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_HSTS_SECONDS = env.int("HSTS_SECONDS", default=31536000 if HTTPS else 0)
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
CSRF_FAILURE_VIEW = "django.views.csrf.csrf_failure"

SIMPLE_HISTORY_REVERT_DISABLED = True
