"""Under which addresses this machine is reached from the local network."""

import socket
import sys
from struct import pack
from typing import Final

_ASK_ADDRESS: Final = 0x8915  # SIOCGIFADDR of Linux, netdevice(7)
_NAME_BYTES: Final = 15  # IFNAMSIZ without its closing zero, the same page


def lan_addresses() -> list[str]:
    """IPv4 addresses of this machine in its networks, the one it uses most first."""
    found = [a for a in [_towards_others(), *_of_interfaces()] if a is not None]
    return list(dict.fromkeys(a for a in found if not a.startswith(("127.", "169.254."))))


def _towards_others() -> str | None:
    """The address that packets to elsewhere would carry; none is sent to find out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address for documentation only
        except OSError:
            return None
        return str(probe.getsockname()[0])


def _of_interfaces() -> list[str]:
    """The first address of every interface, on Linux."""
    if sys.platform != "linux":
        return []
    import fcntl

    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        for _, name in socket.if_nameindex():
            request = pack("256s", name.encode()[:_NAME_BYTES])
            try:
                answer = fcntl.ioctl(probe.fileno(), _ASK_ADDRESS, request)
            except OSError:  # an interface without an address
                continue
            found.append(socket.inet_ntoa(answer[20:24]))
    return found
