"""Every address of the project: each app's own, and the admin."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("company.views.urls")),
    path("", include("scenes.urls")),
    path("", include("builds.urls")),
    path("admin/", admin.site.urls),
]
