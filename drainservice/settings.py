"""Placeholder."""

SECRET_KEY = "x"
INSTALLED_APPS = ["django.contrib.contenttypes"]
USE_TZ = True
DATABASES = {"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}}
