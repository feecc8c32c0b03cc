"""Addresses of these pages."""

from django.urls import path

from pathproof.web.prepare import views

app_name = "prepare"
urlpatterns = [
    path("jobs/<uuid:job_id>/prepare/", views.page, name="page"),
]
