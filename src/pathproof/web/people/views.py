"""Signing in and out, and the first account."""

from django.contrib.auth import login
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from pathproof.web.people.forms import FirstAccount
from pathproof.web.people.models import Person, Role


class SignIn(LoginView):
    """The form to sign in with."""

    template_name = "people/sign_in.html"
    redirect_authenticated_user = True


class SignOut(LogoutView):
    """Signs out, by POST."""


def first_account(request: HttpRequest) -> HttpResponse:
    """The first account, made at this machine while there is none."""
    form = FirstAccount(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        person = Person.objects.create_user(
            given["username"], given["name"], Role.OFFICE, given["password"]
        )
        login(request, person, backend="django.contrib.auth.backends.ModelBackend")
        return redirect("listing:jobs")
    return render(request, "people/first_account.html", {"form": form})
