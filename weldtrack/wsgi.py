"""The door for WSGI servers."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "weldtrack.settings")

application = get_wsgi_application()

from office.worker import watch  # noqa: E402  (Django must be set up before the models are imported)

watch()
