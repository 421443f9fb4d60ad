"""Addresses of the builds app."""

from django.urls import URLPattern, path

from builds.views import bench, figures, photos, plans, routes, sheets, stages, steps, today

app_name = "builds"

urlpatterns: list[URLPattern] = [
    path("shows/<int:pk>/bench/", bench.bench, name="bench"),
    path("shows/<int:pk>/bench/accept/", bench.bench_accept, name="bench_accept"),
    path("guises/<int:pk>/borrow/", bench.guise_borrow, name="guise_borrow"),
    path("shows/<int:pk>/figures/", figures.figure_list, name="figure_list"),
    path("shows/<int:pk>/figures/add/", figures.figure_add, name="figure_add"),
    path("figures/<int:pk>/", figures.figure_detail, name="figure_detail"),
    path("figures/<int:pk>/edit/", figures.figure_edit, name="figure_edit"),
    path("figures/<int:pk>/state/", figures.figure_state, name="figure_state"),
    path("figures/<int:pk>/photos/add/", photos.figure_photo_add, name="figure_photo_add"),
    path("f/<str:key>/", figures.figure_link, name="figure_link"),
    path("steps/<int:pk>/", steps.step_detail, name="step_detail"),
    path("steps/<int:pk>/record/", steps.step_record, name="step_record"),
    path("steps/<int:pk>/pass/", steps.step_pass, name="step_pass"),
    path("steps/<int:pk>/undo/", steps.step_undo, name="step_undo"),
    path("steps/<int:pk>/answer/", steps.step_answer, name="step_answer"),
    path("steps/<int:pk>/edit/", steps.step_edit, name="step_edit"),
    path("steps/<int:pk>/hours/add/", steps.work_add, name="work_add"),
    path("steps/<int:pk>/hours/<int:log_pk>/strike/", steps.work_strike, name="work_strike"),
    path("steps/<int:pk>/photos/add/", photos.step_photo_add, name="step_photo_add"),
    path("photos/<int:pk>/", photos.photo_file, name="photo_file"),
    path("photos/<int:pk>/strike/", photos.photo_strike, name="photo_strike"),
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
    path("company/<int:company_pk>/routes/", routes.route_list, name="route_list"),
    path("company/<int:company_pk>/routes/add/", routes.route_add, name="route_add"),
    path("routes/<int:pk>/", routes.route_detail, name="route_detail"),
    path("routes/<int:pk>/rename/", routes.route_rename, name="route_rename"),
    path("routes/<int:pk>/stages/add/", stages.stage_add, name="stage_add"),
    path("stages/<int:pk>/edit/", stages.stage_edit, name="stage_edit"),
    path("stages/<int:pk>/move/", stages.stage_move, name="stage_move"),
    path("stages/<int:pk>/copy/", stages.stage_copy, name="stage_copy"),
    path("stages/<int:pk>/strike/", stages.stage_strike, name="stage_strike"),
    path("stages/<int:pk>/take-back/", stages.stage_take_back, name="stage_take_back"),
    path("company/<int:company_pk>/equipment/add/", routes.equipment_add, name="equipment_add"),
    path("equipment/<int:pk>/edit/", routes.equipment_edit, name="equipment_edit"),
    path("equipment/<int:pk>/strike/", routes.equipment_strike, name="equipment_strike"),
]
