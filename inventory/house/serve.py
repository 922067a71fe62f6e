"""Serving the pages from a command, without a web server in front: for one machine or a house network."""

from django.core.management.base import BaseCommand
from django.core.wsgi import get_wsgi_application
from waitress import serve

from inventory.house.command import BadInput


def serve_pages(address: str, port: int) -> None:
    """Serve until interrupted. Raises BadInput when the address cannot be had, CommandError for faults of the pages."""
    BaseCommand().check()
    try:
        serve(get_wsgi_application(), host=address.strip("[]"), port=port, threads=6, ident="Filamentry")
    except OSError as fault:
        raise BadInput(f"{address}:{port} cannot be served: {fault.strerror}; name another with --port") from fault
