#!/bin/sh
# The recipes of README.md, each taken from there and run in a project of its own.
set -u
if [ -n "${PREARC_SANITIZED:-}" ]; then
    echo "LEFT OUT under the sanitizers: it tries what README.md tells; the commands themselves readme.sh runs"
    exit 0
fi

source=$(cd "$top_srcdir" && pwd)
prearc=$(cd "$top_builddir" && pwd)/prearc
PATH=$(dirname "$prearc"):$PATH
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
demo=$source/netlists/heronsgate-40

recipe() { awk -v name="$1" '$0 == "<!-- recipe: " name " -->" { found = 1; next }
    found && /^```/ { if (inside) exit; inside = 1; next } inside' "$source/README.md"; }
# works NAME CODE COMMAND...
works() {
    name=$1 code=$2
    shift 2
    "$@" >"$work/out" 2>&1 </dev/null
    got=$?
    if [ "$got" = "$code" ] || { [ "$code" = some ] && [ "$got" != 0 ]; }; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $name: exit $got, not $code"
        tail -n 20 "$work/out"
    fi
}

project=$work/project
mkdir -p "$project/netlists"
cd "$project" || exit 1
cp "$demo/xml/sound.xml" netlists/amplifier.xml

# --- git hook: a sound netlist goes in, a dangerous one does not, nor one that is mended only on the disk
if command -v git >/dev/null; then
    export GIT_CONFIG_GLOBAL=/dev/null GIT_AUTHOR_NAME=n GIT_AUTHOR_EMAIL=e GIT_COMMITTER_NAME=n GIT_COMMITTER_EMAIL=e
    git init -q .
    recipe hook >.git/hooks/pre-commit
    chmod +x .git/hooks/pre-commit
    git add netlists
    works "hook, sound netlist" 0 git commit -qm sound
    cp "$demo/xml/ht-link-oversized.xml" netlists/amplifier.xml
    git add netlists
    works "hook, dangerous netlist" some git commit -qm dangerous
    cp "$demo/xml/sound.xml" netlists/amplifier.xml
    works "hook, mended but not staged" some git commit -qm mended
    git add netlists
    works "hook, nothing left to commit" some git commit -qm nothing
else
    echo "*** SKIPPED: git is not installed; the hook was NOT tried ***"
    [ -z "${CI:-}" ] || failed=$((failed + 1))
fi

# --- makefile
recipe makefile >Makefile
works "make check, sound" 0 make -s check
works "make findings.sarif" 0 make -s findings.sarif
cp "$demo/xml/ht-link-oversized.xml" netlists/other.xml
works "make check, dangerous" some make -s check
works "make findings.sarif with findings" 0 make -s findings.sarif
grep -q '"ruleId": "fuse-oversized"' findings.sarif && passed=$((passed + 1)) ||
    { failed=$((failed + 1)); echo "FAILED: findings.sarif has no finding"; }

# --- hosted pipeline: its own commands, with what it clones put in place. Each step's line is taken from the recipe.
recipe workflow >workflow.yml
step() { sed -n "/name: $1\$/{n;s/^ *run: //p}" workflow.yml; }
mkdir -p prearc/.build/plain
ln -s "$prearc" prearc/.build/plain/prearc
works "pipeline: Build clones and builds" 0 sh -c '[ -x "$1/.ci/packages" ] && [ -x "$1/.ci/build" ] && case "$2" in
    *prearc/.ci/packages\ build*prearc/.ci/build\ plain*) ;; *) false ;; esac' sh "$source" "$(step Build)"
works "pipeline: Check" 0 sh -c "$(step Check)"
works "pipeline: the report is where it is uploaded from" 0 test -s "$(sed -n 's/^ *sarif_file: //p' workflow.yml)"
works "pipeline: Verdict" 1 sh -c "$(step Verdict)"

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
