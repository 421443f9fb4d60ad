"""The WSGI application that `serve`, or any WSGI server, runs."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "company.settings")
application = get_wsgi_application()
