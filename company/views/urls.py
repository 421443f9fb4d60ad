"""Addresses of the company app."""

from django.urls import URLPattern

app_name = "company"

urlpatterns: list[URLPattern] = []
