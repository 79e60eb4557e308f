# shellcheck shell=bash
# What deploy/run and deploy/test share: speaking, finding a Python, and making an environment from a lock file.

say() { printf '==> %s\n' "$*"; }

fail() {
    printf '\nStopped: %s\n' "$*" >&2
    exit 1
}

# Runs a command as root, through sudo if it asks no password; fails if neither is possible.
as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then
        sudo -n "$@"
    else
        return 1
    fi
}

# Installs a Debian package: bring_package NAME WHY
bring_package() {
    local name=$1 why=$2 log
    command -v apt-get >/dev/null || fail "$why. This is no Debian system; install $name in its own way."
    as_root true || fail "$why. Ask an administrator to run: apt-get install $name"
    say "Installing the Debian package $name"
    log=$(mktemp)
    if ! { as_root apt-get update -qq &&
        as_root env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends "$name"; } \
        </dev/null >"$log" 2>&1; then
        tail -n 15 "$log" >&2
        rm -f "$log"
        fail "$why, and apt-get could not install $name; its last words are above."
    fi
    rm -f "$log"
}

new_enough() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; }
makes_environments() { "$1" -c 'import ensurepip, venv' >/dev/null 2>&1; }

# Prints the Python to use: $PYTHON if set, else the newest that can make environments, else the newest.
find_python() {
    local name fallback=''
    if [ -n "${PYTHON:-}" ]; then
        new_enough "$PYTHON" || fail "PYTHON is set to '$PYTHON', which is not a Python 3.11 or newer."
        printf '%s\n' "$PYTHON"
        return
    fi
    for name in python3.13 python3.12 python3.11 python3; do
        new_enough "$name" || continue
        if makes_environments "$name"; then
            printf '%s\n' "$name"
            return
        fi
        fallback=${fallback:-$name}
    done
    [ -n "$fallback" ] || fail "no Python 3.11 or newer was found. On Debian 12 or newer run:" \
        "apt-get install python3 python3-venv. If you have one elsewhere, set PYTHON to its path."
    printf '%s\n' "$fallback"
}

# Says in one sentence why pip failed: explain_pip LOG LOCK VENV
explain_pip() {
    if grep -qiE 'no space left|disk quota' "$1"; then
        fail "the disk is full; free some space and run this again ($3 needs up to 1 GB)."
    elif grep -qiE 'do not match the hashes' "$1"; then
        fail "a downloaded package is not the one that $2 names, so it was not installed. Check what stands" \
            "between this machine and its package index."
    elif grep -qiE 'name resolution|connection broken|timed out|unreachable|SSLError|ProxyError' "$1"; then
        fail "the package index could not be reached; check the network and run this again."
    elif grep -qi 'no matching distribution' "$1"; then
        fail "a package in $2 has no build for this Python and machine; set PYTHON to one from 3.11 to 3.13."
    fi
    fail "pip could not install $2; its last words are above."
}

# Makes the environment VENV from LOCK, unless it was made from the same lock: make_environment VENV LOCK
make_environment() {
    local venv=$1 lock=$2 python wanted name log
    python=$(find_python)
    wanted="$PWD/$venv $("$python" -VV) $(sha256sum <"$lock")"
    if [ "$(cat "$venv/made-from" 2>/dev/null)" = "$wanted" ] && "$venv/bin/python" -c '' 2>/dev/null; then
        say "The environment $venv is up to date"
        return
    fi

    say "Making the environment $venv with $("$python" -V)"
    if ! makes_environments "$python"; then
        name=$("$python" -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])')
        bring_package "$name" "$python cannot make environments"
        makes_environments "$python" || fail "$python still cannot make environments; set PYTHON to another one."
    fi
    log=$(mktemp)
    if ! { rm -rf "$venv" && "$python" -m venv "$venv"; } >"$log" 2>&1; then
        cat "$log" >&2
        rm -f "$log"
        fail "$PWD/$venv could not be made; is the disk full, or the folder not yours to write in?"
    fi

    say "Installing $(grep -c '^[a-z].*==' "$lock") packages from $lock; this may take a minute or two"
    # A lock names every package, so nothing is left to resolve: a newer release on the index must not be looked at.
    if ! "$venv/bin/python" -m pip install --quiet --no-input --disable-pip-version-check --progress-bar off \
        --no-deps --require-hashes --only-binary :all: --requirement "$lock" \
        </dev/null >"$log" 2>&1; then
        grep -v '^WARNING' "$log" | tail -n 15 >&2
        explain_pip "$log" "$lock" "$venv"
    fi
    rm -f "$log"
    printf '%s\n' "$wanted" >"$venv/made-from"
}
