"""Addresses of these pages."""

from django.urls import path

from pathproof.web.signals import centre, views, walks

app_name = "signals"
urlpatterns = [
    path("jobs/<uuid:job_id>/", views.page, name="page"),
    path("jobs/<uuid:job_id>/links/<str:link_id>/", views.link, name="link"),
    path("jobs/<uuid:job_id>/record/", views.record, name="record"),
    path("jobs/<uuid:job_id>/evidence/<str:kind>/", views.evidence, name="evidence"),
    path("jobs/<uuid:job_id>/walk-tests/", walks.page, name="walks"),
    path("jobs/<uuid:job_id>/at-the-centre/", centre.page, name="centre"),
]
