"""Addresses of the scenes app."""

from django.urls import URLPattern

app_name = "scenes"

urlpatterns: list[URLPattern] = []
