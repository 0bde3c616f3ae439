"""The cookies of a device on which somebody has signed in."""

from django.http import HttpResponse

from access.devices import cookie_name, remember_device


def cookie_of(username: str = "pat") -> str:
    response = HttpResponse()
    remember_device(response, username)
    return f"csrftoken=x; {cookie_name()}={response.cookies[cookie_name()].value}"
