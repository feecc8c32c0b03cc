"""Addresses of these pages."""

from django.urls import path

from pathproof.web.signals import views

app_name = "signals"
urlpatterns = [
    path("jobs/<uuid:job_id>/", views.page, name="page"),
]
