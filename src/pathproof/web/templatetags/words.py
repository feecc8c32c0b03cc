"""Words and figures as pages show them."""

from django import template

register = template.Library()
