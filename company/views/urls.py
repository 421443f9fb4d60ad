"""Addresses of the company app."""

from django.urls import path

from company.views import sign_in

app_name = "company"

urlpatterns = [
    path("sign-in/", sign_in.sign_in, name="sign_in"),
    path("sign-out/", sign_in.sign_out, name="sign_out"),
    path("in/<str:token>/", sign_in.link, name="link"),
    path("password/", sign_in.password, name="password"),
]
