"""Addresses of the dispatcher."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
