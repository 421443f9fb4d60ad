"""Addresses of the builds app."""

from django.urls import URLPattern, path

from builds.views import plans, sheets, today

app_name = "builds"

urlpatterns: list[URLPattern] = [
    path("shows/<int:pk>/today/", today.today, name="today"),
    path("shows/<int:pk>/plan/", plans.wall_plan, name="wall_plan"),
    path("shows/<int:pk>/plan/make/", plans.plan_make, name="plan_make"),
    path("shows/<int:pk>/plan/improve/", plans.plan_improve, name="plan_improve"),
    path("shows/<int:pk>/plan/run/", plans.plan_run, name="plan_run"),
    path("shows/<int:pk>/plan/stop/", plans.plan_stop, name="plan_stop"),
    path("plans/<int:pk>/pin-up/", plans.plan_pin_up, name="plan_pin_up"),
    path("shows/<int:pk>/sheets/", sheets.sheet_list, name="sheet_list"),
    path("shows/<int:pk>/sheets/pack.pdf", sheets.sheet_pack, name="sheet_pack"),
    path(
        "shows/<int:pk>/sheets/week/<int:maker_pk>/<str:monday>.pdf",
        sheets.sheet_week,
        name="sheet_week",
    ),
    path("figures/<int:pk>/sheet.pdf", sheets.sheet_figure, name="sheet_figure"),
]
