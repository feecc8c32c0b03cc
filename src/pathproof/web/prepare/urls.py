"""Addresses of these pages."""

from django.urls import path

from pathproof.web.prepare import views

app_name = "prepare"
urlpatterns = [
    path("jobs/<uuid:job_id>/prepare/", views.page, name="page"),
    path("jobs/<uuid:job_id>/prepare/sheet/", views.sheet, name="sheet"),
    path(
        "jobs/<uuid:job_id>/prepare/<str:communicator>/numbers/",
        views.identifiers,
        name="identifiers",
    ),
    path("jobs/<uuid:job_id>/prepare/<str:communicator>/state/", views.state, name="state"),
]
