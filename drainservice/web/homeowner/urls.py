"""Addresses of the homeowner."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
