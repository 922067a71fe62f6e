"""The WSGI entry for a server in front of Filamentry."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.settings")
application = get_wsgi_application()
