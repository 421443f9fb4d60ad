"""Addresses of the builds app."""

from django.urls import URLPattern

app_name = "builds"

urlpatterns: list[URLPattern] = []
