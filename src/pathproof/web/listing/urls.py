"""Addresses of the list of jobs."""

from django.urls import path

from pathproof.web.listing import views

app_name = "listing"
urlpatterns = [path("", views.jobs, name="jobs")]
