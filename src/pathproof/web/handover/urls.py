"""Addresses of these pages."""

from django.urls import path

from pathproof.web.handover import views

app_name = "handover"
urlpatterns = [
    path("jobs/<uuid:job_id>/papers/", views.page, name="page"),
]
