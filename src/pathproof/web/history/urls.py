"""Addresses of these pages."""

from django.urls import path

from pathproof.web.history import views

app_name = "history"
urlpatterns = [
    path("jobs/<uuid:job_id>/history/", views.page, name="page"),
    path(
        "jobs/<uuid:job_id>/history/changes/<int:before>/<int:after>/",
        views.changes,
        name="changes",
    ),
    path("jobs/<uuid:job_id>/history/<int:contest_id>/", views.contest, name="contest"),
]
