#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Installs the Debian packages that are missing, and says which.
#   sh tests/install.sh run     what building and running needs
#   sh tests/install.sh test    that, and what the tests need; short is another word for it
#   sh tests/install.sh medium  that, and what the medium and the long gate need
#   sh tests/install.sh lessons what making the lessons and their web pages needs
# Ends with status 1, and the command to type, where it may not install.
set -u
export LC_ALL=C

run='build-essential cmake pkg-config libgsl-dev libconfig-dev libjansson-dev libcsv-dev nettle-dev
     libexpat1-dev gnuplot-nox'
lessons='cmark-gfm jq'
test="libcriterion-dev libxml2-utils libmd-dev tidy mandoc groff man-db shellcheck bash less $lessons"
medium='clang libclang-rt-dev libomp-dev llvm valgrind strace locales chromium nodejs npm poppler-utils
        libsundials-dev python3-numpy python3-scipy lintian dpkg-dev file'

case ${1-} in
run) wanted=$run ;;
lessons) wanted=$lessons ;;
test | short) wanted="$run $test" ;;
medium | long) wanted="$run $test $medium" ;;
*)
    echo "usage: sh tests/install.sh run|test|medium|lessons" >&2
    exit 64
    ;;
esac

if ! command -v dpkg-query >/dev/null; then
    echo "install: no Debian packages here; these must be there under whatever names they have:" >&2
    printf '    %s\n' "$wanted" >&2
    exit 0
fi

# A package may be there in a version that took over its name: pkg-config is now pkgconf.  Node comes
# from many places, npm with it.
is_there() {
    case $1 in
    nodejs) ! command -v node >/dev/null || return 0 ;;
    npm) ! command -v npm >/dev/null || return 0 ;;
    esac
    dpkg-query -W -f '${Status} ${Provides}\n' "$1" 2>/dev/null | grep -q '^install ok installed'
}

missing=
for package in $wanted; do
    is_there "$package" || missing="$missing $package"
done
[ -n "$missing" ] || exit 0

if [ "$(id -u)" = 0 ]; then
    as_root=
elif command -v sudo >/dev/null; then
    as_root=sudo
    echo "install: needs root, so sudo may ask for your password"
else
    echo "install: these packages are missing; as root, please type:" >&2
    echo "    apt-get install --no-install-recommends$missing" >&2
    exit 1
fi

echo "install: will install$missing"
if ! ls /var/lib/apt/lists/*Packages* >/dev/null 2>&1; then
    $as_root apt-get update || exit 1
fi
fetch() {
    # shellcheck disable=SC2086 # several words each
    $as_root env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y --no-install-recommends $missing </dev/null
}
# Lists grow old, and then name versions that are gone: one more try with fresh ones.
fetch || { $as_root apt-get update && fetch; } || {
    echo "install: apt-get could not install$missing" >&2
    exit 1
}
