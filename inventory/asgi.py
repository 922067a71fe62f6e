"""The ASGI entry for a server in front of Filamentry."""

import os

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.settings")
application = get_asgi_application()
