#!/bin/sh
# What a well-behaved program brings along: installing (also to another place), the manual page, completion in three
# shells, a source archive with everything in it.
set -u

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAILED: $*"; }
ok() { what=$1; shift; if "$@" >"$work/out" 2>&1; then pass; else fail "$what"; cat "$work/out"; fi; }
says() { if grep -q -e "$2" "$1"; then pass; else fail "$1 does not say $2"; fi; }
missing() {
    echo "*** SKIPPED: $1 is not installed; $2 was NOT checked ***"
    [ -z "${CI:-}" ] || fail "$1 must be installed where CI runs"
}

# --- installed, and moved afterwards
ok "make install" make -s -C "$top_builddir" install DESTDIR="$work/root"
prefix=$(find "$work/root" -type d -path '*/bin' | head -n 1)
mv "${prefix%/bin}" "$work/moved"
prearc=$work/moved/bin/prearc
ok "the installed program finds its checks" env -u PREARC_DATA "$prearc" explain fuse-oversized
ok "the installed program checks the demo" env -u PREARC_DATA "$prearc" check \
    "$top_srcdir/netlists/heronsgate-40/spice/sound.cir"

# --- manual page
page=$work/moved/share/man/man1/prearc.1
if command -v man >/dev/null; then
    env LC_ALL=C.UTF-8 man --warnings -l "$page" >"$work/page" 2>"$work/warnings"
    [ -s "$work/warnings" ] && { fail "manual page: warnings"; cat "$work/warnings"; } || pass
    for option in $("$prearc" check --help | sed -n 's/^  \(--[a-z-]*\).*/\1/p'); do says "$work/page" "$option"; done
else
    missing man "the manual page"
fi

# --- completion: offered words after what is typed so far
offered() { # offered WORD...: bash's offers for the last word
    PATH=$work/moved/bin:$PATH bash -c '
        . "$1"; shift
        COMP_WORDS=(prearc "$@"); COMP_CWORD=$#
        _prearc; printf "%s\n" "${COMPREPLY[@]}"' bash "$work/moved/share/bash-completion/completions/prearc" "$@"
}
offered ch >"$work/offers"; says "$work/offers" '^check$'
offered explain fuse-o >"$work/offers"; says "$work/offers" '^fuse-oversized$'
offered check --fail-on w >"$work/offers"; says "$work/offers" '^warning$'
offered check --fo >"$work/offers"; says "$work/offers" '^--format$'
for shell in zsh fish; do
    if ! command -v $shell >/dev/null; then
        missing $shell "its completion"
    elif [ $shell = zsh ]; then
        ok "zsh reads its completion" zsh -n "$work/moved/share/zsh/site-functions/_prearc"
    else
        file=$work/moved/share/fish/vendor_completions.d/prearc.fish
        ok "fish reads its completion" fish --no-execute "$file"
        HOME=$work PATH=$work/moved/bin:$PATH fish --no-config -c \
            "source $file; complete --do-complete 'prearc explain fuse-o'" >"$work/offers" 2>&1
        says "$work/offers" fuse-oversized
    fi
done

# --- the source archive
ok "make distdir" make -s -C "$top_builddir" distdir distdir="$work/archive"
if git -C "$top_srcdir" rev-parse >/dev/null 2>&1; then
    git -C "$top_srcdir" ls-files | grep -v '^\.git' | while read -r file; do
        [ -e "$work/archive/$file" ] || echo "not in the archive: $file"
    done >"$work/lost"
    [ -s "$work/lost" ] && { fail "source archive"; cat "$work/lost"; } || pass
fi

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
