"""Addresses of these pages."""

from django.urls import path

from pathproof.web.specify import choice_views, list_views, sheet_views, views

app_name = "specify"
_HERE = "jobs/<uuid:job_id>/specify/"
urlpatterns = [
    path(_HERE, views.page, name="page"),
    path(f"{_HERE}site/", views.site, name="site"),
    path(f"{_HERE}codes/", views.codes, name="codes"),
    path(f"{_HERE}zones/", views.set_zones, name="set_zones"),
    path(f"{_HERE}parts/", views.parts, name="parts"),
    path(f"{_HERE}add/<slug:kind>/", views.add, name="add"),
    path(f"{_HERE}one/<slug:kind>/", views.single, name="single"),
    path(f"{_HERE}change/<slug:kind>/<str:piece>/", views.edit, name="edit"),
    path(f"{_HERE}device/<str:piece>/", views.device, name="device"),
    path(f"{_HERE}hang/<str:piece>/", views.hang, name="hang"),
    path(f"{_HERE}communicator/", choice_views.communicator, name="communicator"),
    path(f"{_HERE}considered/", choice_views.consider, name="consider"),
    path(f"{_HERE}take/", choice_views.take, name="take"),
    path(f"{_HERE}antenna/", sheet_views.antenna, name="antenna"),
    path(f"{_HERE}power/", sheet_views.power, name="power"),
    path(f"{_HERE}profile/", sheet_views.profile, name="profile"),
    path(f"{_HERE}confirm/<slug:limit>/", sheet_views.confirm, name="confirm"),
    path(f"{_HERE}lists/", list_views.lists, name="lists"),
    path(f"{_HERE}lists/<slug:which>.csv", list_views.download, name="csv"),
    path(f"{_HERE}listed/", list_views.listed, name="list"),
]
