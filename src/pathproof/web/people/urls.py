"""Addresses of signing in."""

from django.urls import path

from pathproof.web.people import views

app_name = "people"
urlpatterns = [
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", views.SignOut.as_view(), name="sign_out"),
    path("first-account/", views.first_account, name="first_account"),
]
