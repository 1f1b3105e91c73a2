#!/usr/bin/env bash
# Sees to it that what a make target needs is there: scripts/need.sh GROUP...
#
# A group is rust, window, test, check or bench. Asks for commands and libraries themselves, so that it
# takes them from wherever they come; installs Debian packages only for what is missing, and says
# which. Ends with 1 and a sentence where it cannot.
set -euo pipefail

fail() {
    echo "need.sh: $*" >&2
    exit 1
}

missing=() # Debian packages

# want PACKAGE CHECK...: the package is missing where the check fails.
want() {
    "${@:2}" >/dev/null 2>&1 || missing+=("$1")
}

has_command() { command -v "$1"; }

# /sbin, where ldconfig lies, is not on everybody's PATH.
libraries=$(PATH="$PATH:/usr/sbin:/sbin" ldconfig -p 2>/dev/null || true)
has_library() { [[ $libraries == *"$1"* ]]; }

has_header() { echo "#include <$1>" | cc -E -; }

has_driver() { compgen -G '/usr/lib/*/dri/*_dri.so'; }

# Python modules are those of the system's Python, which the tests try first.
has_module() { /usr/bin/python3 -c "import $1"; }

has_sox_format() { [[ $(sox --help 2>/dev/null) == *" $1 "* ]]; }

need_rust() {
    want gcc has_command cc
    # Sound in and out, on by default.
    want pkg-config has_command pkg-config
    want libasound2-dev has_header alsa/asoundlib.h
    has_command cargo >/dev/null || fail "there is no cargo. Install the Rust toolchain," \
        "version $(sed -n 's/^rust-version = "\(.*\)"/\1/p' Cargo.toml) or newer, with rustup," \
        "open a new shell and run make again."
}

need_window() {
    want libgl1 has_library libGL.so.1
    want libegl1 has_library libEGL.so.1
    want libgl1-mesa-dri has_driver
    want libx11-6 has_library libX11.so.6
    want libx11-xcb1 has_library libX11-xcb.so.1
    want libxcursor1 has_library libXcursor.so.1
    want libxi6 has_library libXi.so.6
    want libxrandr2 has_library libXrandr.so.2
    want libxkbcommon-x11-0 has_library libxkbcommon-x11.so.0
}

need_bench() {
    want python3-numpy has_module numpy
    want python3-scipy has_module scipy
}

need_test() {
    want sox has_command sox
    want libsox-fmt-all has_sox_format vorbis
    want ffmpeg has_command ffmpeg
    # A window without a screen, and hands for it.
    want xvfb has_command Xvfb
    want openbox has_command openbox
    want xdotool has_command xdotool
    want imagemagick has_command import
    # A sound card without a sound card.
    want pulseaudio has_command pulseaudio
    want pulseaudio-utils has_command paplay
    need_bench
    need_window
}

need_check() {
    local tool
    for tool in fmt:rustfmt clippy:clippy; do
        cargo "${tool%:*}" --version >/dev/null 2>&1 && continue
        has_command rustup >/dev/null || fail "the Rust toolchain lacks ${tool#*:}; install it."
        echo "need.sh: adding ${tool#*:} to the Rust toolchain."
        rustup component add "${tool#*:}"
    done
}

install() {
    local as_root=(env DEBIAN_FRONTEND=noninteractive)
    local what="sudo apt-get install $*"
    has_command apt-get >/dev/null || fail "these Debian packages are missing, and there is no" \
        "apt-get to install them with: $*. Install what they hold in this system's own way."
    if [[ $(id -u) -ne 0 ]]; then
        has_command sudo >/dev/null || fail "these Debian packages are missing: $*. Only root can" \
            "install them, and there is no sudo; as root, run: ${what#sudo }"
        as_root=(sudo "${as_root[@]}")
    fi
    echo "need.sh: installing $*"
    "${as_root[@]}" apt-get update -qq && "${as_root[@]}" apt-get install -qq -y \
        --no-install-recommends "$@" >/dev/null || fail "the installation failed; mend it with: $what"
}

# An exported CDPATH would send it elsewhere, and make cd print where.
unset CDPATH
cd -- "$(dirname -- "$0")/.."
for group in "$@"; do
    case $group in
    rust | window | test | check | bench) "need_$group" ;;
    *) fail "there is no group '$group'; the groups are rust, window, test, check and bench." ;;
    esac
done
if ((${#missing[@]})); then
    install "${missing[@]}"
fi
