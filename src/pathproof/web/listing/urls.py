"""Addresses of the list of jobs."""

from django.urls import path

from pathproof.web.listing import views

app_name = "listing"
urlpatterns = [
    path("", views.jobs, name="jobs"),
    path("new/", views.new, name="new"),
    path("import/", views.imported, name="import"),
    path("demo/", views.add_demo, name="demo"),
    path("token/", views.token, name="token"),
    path("jobs/<uuid:job_id>/job-file/", views.export, name="export"),
    path("jobs/<uuid:job_id>/job-file/<int:revision>/", views.export, name="export_revision"),
    path("jobs/<uuid:job_id>/erase/", views.erase, name="erase"),
]
