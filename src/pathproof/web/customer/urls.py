"""Addresses of a customer's answer."""

from django.urls import path

from pathproof.web.customer import views

app_name = "customer"
urlpatterns = [
    path("answer/<str:secret>/", views.answer, name="answer"),
    path("answer/<str:secret>/paper/", views.paper, name="paper"),
]
