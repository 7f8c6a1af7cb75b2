"""The application that a WSGI server runs."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.conf.settings")

application = get_wsgi_application()
