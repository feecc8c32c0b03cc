"""Addresses of signing in and of accounts."""

from django.urls import path

from pathproof.web.people import views

app_name = "people"
urlpatterns = [
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", views.SignOut.as_view(), name="sign_out"),
    path("first-account/", views.first_account, name="first_account"),
    path("password/", views.own_password, name="own_password"),
    path("accounts/", views.accounts, name="accounts"),
    path("accounts/new/", views.new_account, name="new_account"),
    path("accounts/<int:person_id>/", views.account, name="account"),
    path("accounts/<int:person_id>/password/", views.set_password, name="set_password"),
]
