#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Installing: under a folder of one's own, as a Debian package that lintian finds no error in, twice the same
# bytes; and a build without OpenMP.  As root in a gate (CI=true) the package is really installed, and removed.
set -u
root=$(pwd)
work=$(mktemp -d) || exit 70
trap 'rm -rf "$work"' EXIT
export LC_ALL=C.UTF-8 SOURCE_DATE_EPOCH=1700000000
. "$root/tests/check.inc"

build() {
    folder=$1
    shift
    cmake -S "$root" -B "$folder" -DCMAKE_BUILD_TYPE=Release -DCMAKE_INSTALL_PREFIX=/usr "$@" &&
        cmake --build "$folder" -j2 --target leat pages
}

configure_one() { build "$work/one"; }
configure_two() { build "$work/two"; }
check "a build" configure_one
check "another in another folder" configure_two
check "both programs have the same bytes" cmp "$work/one/leat" "$work/two/leat"

check "it installs under DESTDIR" env DESTDIR="$work/root" cmake --install "$work/one"
for file in usr/bin/leat usr/share/man/man1/leat.1.gz usr/share/bash-completion/completions/leat \
    usr/share/doc/leat/copyright usr/share/doc/leat/changelog.gz; do
    check "$file is there" [ -s "$work/root/$file" ]
done
check "and under another prefix" cmake --install "$work/one" --prefix "$work/own"
check "from where it runs" "$work/own/bin/leat" check "$root/scenarios/demo.cfg"

pack() { (cd "$1" && cpack -G DEB) && mv "$1"/*.deb "$work/$2.deb"; }
check "a package" pack "$work/one" one
check "another" pack "$work/two" two
check "both have the same bytes" cmp "$work/one.deb" "$work/two.deb"
check "lintian finds no error" lintian --allow-root --fail-on error "$work/one.deb"
check "it can be unpacked" dpkg-deb -x "$work/one.deb" "$work/deb"
check "what is in it runs" "$work/deb/usr/bin/leat" --version
if [ "${CI-}" = true ] && [ "$(id -u)" = 0 ] && ! dpkg -s leat >/dev/null 2>&1; then
    check "it is installed" dpkg -i "$work/one.deb"
    check "and runs" /usr/bin/leat --version
    check "and is removed" dpkg -r leat
fi

alone() { build "$work/alone" -DCMAKE_DISABLE_FIND_PACKAGE_OpenMP=ON; }
check "a build without OpenMP" alone
says() { "$work/alone/leat" --version | grep -q "one thread"; }
check "says what it lacks" says
check "and works" "$work/alone/leat" sweep "$root/scenarios/demo.cfg" -q --jobs 2 --vary 'feed.pressure=50,60 psi'
echo "$passed passed, $failed failed"
[ $failed = 0 ]
