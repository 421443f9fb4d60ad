"""Every address of the project: each app's own, in one list."""

from django.urls import include, path

urlpatterns = [
    path("", include("company.views.urls")),
    path("", include("scenes.urls")),
    path("", include("builds.urls")),
]
