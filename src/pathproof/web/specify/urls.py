"""Addresses of these pages."""

from django.urls import path

from pathproof.web.specify import views

app_name = "specify"
urlpatterns = [
    path("jobs/<uuid:job_id>/specify/", views.page, name="page"),
]
