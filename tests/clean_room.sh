#!/usr/bin/env bash
# Runs both README commands, as printed, in a Debian 12 that holds only git and python3.
#
#   bash tests/clean_room.sh [FOLDER]     as root; needs debootstrap and about 3 GB
#
# The session is driven as a person would, through a terminal: see tests/clean_room_session.py.
# FOLDER keeps the fresh Debian for the next run; the clone and what it installs are always new.
set -euo pipefail
top=$(git -C "$(dirname "${BASH_SOURCE[0]}")" rev-parse --show-toplevel)
room=${1:-$(mktemp -d)/room}

if [ ! -e "$room/base.tar" ]; then
    mkdir -p "$room"
    debootstrap --variant=minbase --include=git,python3,ca-certificates bookworm "$room/base" >"$room/base.log"
    tar -C "$room/base" -cf "$room/base.tar" .
fi
rm -rf "$room/base" "$room/new"
mkdir "$room/new"
tar -C "$room/new" -xf "$room/base.tar"
git clone -q "$top" "$room/new/root/coach"
cp /etc/resolv.conf "$room/new/etc/"
# A network that checks traffic has a certificate of its own; pip and apt in the room need it too.
if [ -n "${PIP_CERT:-}" ]; then
    cp "$PIP_CERT" "$room/new/etc/ssl/certs/ca-certificates.crt"
fi

# inside COMMAND...: run it in the room, with its own mounts and processes, and nothing of ours.
inside() {
    unshare --mount --pid --fork bash -euc '
        mount -t proc proc "$0/proc"
        mount --rbind /dev "$0/dev"
        mount -t tmpfs tmpfs "$0/tmp"
        exec chroot "$0" /usr/bin/env -i HOME=/root PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin \
            TERM=xterm-256color LANG=C.UTF-8 DEBIAN_FRONTEND=noninteractive PIP_CERT=/etc/ssl/certs/ca-certificates.crt \
            bash -euc "cd /root/coach; $1"' "$room/new" "$1"
}

printf '== in the room: %s\n' "$(inside 'grep PRETTY_NAME /etc/os-release; python3 --version; python3 -m pip --version 2>&1 | tail -n 1')"
from=$SECONDS
inside 'python3 tests/clean_room_session.py'
printf '== the session command: %d s\n' $((SECONDS - from))
from=$SECONDS
inside 'rm -rf .venv; bash -c "$(sed -n "s/^    \(.*\bpytest\b.*\)$/\1/p" README.md)" </dev/null'
printf '== the test command: %d s\n' $((SECONDS - from))
