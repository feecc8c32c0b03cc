"""Addresses of these pages."""

from django.urls import path

from pathproof.web.survey import drawing_views, import_views, place_views, views

app_name = "survey"
_HERE = "jobs/<uuid:job_id>/survey/"
_STOREY = f"{_HERE}storeys/<str:floor>/"
_IMPORT = f"{_HERE}import/"
urlpatterns = [
    path(_HERE, views.page, name="page"),
    path(f"{_HERE}devices/", views.devices, name="devices"),
    path(f"{_HERE}spots/", views.spots, name="spots"),
    path(f"{_HERE}place/<slug:kind>/<str:thing>/", place_views.place, name="place"),
    path(f"{_HERE}heard/<slug:kind>/<str:thing>/", place_views.heard, name="heard"),
    path(_STOREY, views.storey, name="storey"),
    path(f"{_STOREY}plan-<int:revision>.svg", drawing_views.plan, name="plan"),
    path(f"{_STOREY}picture-<int:revision>.png", drawing_views.picture, name="picture"),
    path(f"{_STOREY}map-<int:revision>.png", drawing_views.map_png, name="map_png"),
    path(f"{_STOREY}map-<int:revision>.json", drawing_views.map_json, name="map_json"),
    path(_IMPORT, import_views.start, name="import"),
    path(f"{_IMPORT}<slug:token>/", import_views.look, name="look"),
    path(f"{_IMPORT}<slug:token>/picture.png", import_views.sheet, name="sheet"),
]
