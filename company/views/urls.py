"""Addresses of the company app."""

from django.urls import path

from company.views import company, crafts, days, home, hours, makers, members, sign_in

app_name = "company"

urlpatterns = [
    path("", home.home, name="home"),
    path("sign-in/", sign_in.sign_in, name="sign_in"),
    path("sign-out/", sign_in.sign_out, name="sign_out"),
    path("in/<str:token>/", sign_in.link, name="link"),
    path("password/", sign_in.password, name="password"),
    path("company/<int:pk>/", company.detail, name="detail"),
    path("company/<int:pk>/edit/", company.company_edit, name="company_edit"),
    path("company/<int:company_pk>/makers/new/", makers.maker_new, name="maker_new"),
    path("makers/<int:pk>/", makers.maker_detail, name="maker_detail"),
    path("makers/<int:pk>/edit/", makers.maker_edit, name="maker_edit"),
    path("makers/<int:pk>/strike/", makers.maker_strike, name="maker_strike"),
    path("makers/<int:pk>/take-back/", makers.maker_take_back, name="maker_take_back"),
    path("makers/<int:pk>/hours/new/", hours.hours_new, name="hours_new"),
    path("makers/<int:pk>/hours/<str:begins>/", hours.hours_edit, name="hours_edit"),
    path("makers/<int:pk>/hours/<str:begins>/drop/", hours.hours_drop, name="hours_drop"),
    path("makers/<int:pk>/other-work/add/", days.other_work_add, name="other_work_add"),
    path("other-work/<int:pk>/edit/", days.other_work_edit, name="other_work_edit"),
    path("other-work/<int:pk>/drop/", days.other_work_drop, name="other_work_drop"),
    path("makers/<int:pk>/days-off/add/", days.day_off_add, name="day_off_add"),
    path("days-off/<int:pk>/drop/", days.day_off_drop, name="day_off_drop"),
    path("company/<int:company_pk>/holidays/", days.holiday_list, name="holiday_list"),
    path("company/<int:company_pk>/holidays/add/", days.holiday_add, name="holiday_add"),
    path("company/<int:company_pk>/holidays/take/", days.holiday_take, name="holiday_take"),
    path("company/<int:company_pk>/crafts/", crafts.craft_list, name="craft_list"),
    path("company/<int:company_pk>/crafts/add/", crafts.craft_add, name="craft_add"),
    path("crafts/<int:pk>/edit/", crafts.craft_edit, name="craft_edit"),
    path("crafts/<int:pk>/strike/", crafts.craft_strike, name="craft_strike"),
    path("company/<int:company_pk>/people/", members.person_list, name="person_list"),
    path("company/<int:company_pk>/people/invite/", members.person_invite, name="person_invite"),
    path("people/<int:pk>/link/", members.person_link, name="person_link"),
    path("people/<int:pk>/role/", members.person_role, name="person_role"),
    path("people/<int:pk>/remove/", members.person_remove, name="person_remove"),
]
