"""Addresses of these pages."""

from django.urls import path

from pathproof.web.survey import views

app_name = "survey"
urlpatterns = [
    path("jobs/<uuid:job_id>/survey/", views.page, name="page"),
]
