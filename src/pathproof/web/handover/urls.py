"""Addresses of these pages."""

from django.urls import path

from pathproof.web.handover import views

app_name = "handover"
urlpatterns = [
    path("jobs/<uuid:job_id>/papers/", views.page, name="page"),
    path("jobs/<uuid:job_id>/papers/make/", views.make, name="make"),
    path("jobs/<uuid:job_id>/papers/make/<str:kind>/", views.making, name="making"),
    path("jobs/<uuid:job_id>/papers/<int:paper_id>/", views.download, name="download"),
    path("jobs/<uuid:job_id>/papers/links/", views.link, name="link"),
    path(
        "jobs/<uuid:job_id>/papers/links/<int:link_id>/withdraw/",
        views.withdraw_link,
        name="withdraw",
    ),
]
