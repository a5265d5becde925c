#!/bin/sh
# rules/CATALOGUE.md lists every check of rules/checks as its file says. UPDATE=1 rewrites it.
set -u
if [ -n "${PREARC_SANITIZED:-}" ]; then
    echo "LEFT OUT under the sanitizers: it looks at the sources alone, as in the plain build"
    exit 0
fi
LC_ALL=C # the order of the files
export LC_ALL

page=$top_srcdir/rules/CATALOGUE.md
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT

# One row of the table from one .sch.
row() {
    awk -v id="$(basename "$1" .sch)" '
    { text = text " " $0 }
    function inside(start, end,  at, rest) {
        at = index(text, start)
        if (!at) return ""
        rest = substr(text, at + length(start))
        return substr(rest, 1, index(rest, end) - 1)
    }
    END {
        gsub(/[ \t]+/, " ", text)
        why = inside("<p class=\"why\">", "</p>")
        # Whole sentences, until there are some 70 characters.
        while (length(said) < 70 && match(why, /[.] [A-Z]/)) {
            said = said substr(why, 1, RSTART) " "
            why = substr(why, RSTART + 2)
        }
        why = length(said) < 70 ? said why : substr(said, 1, length(said) - 1)
        gsub(/&apos;/, "\x27", why)
        gsub(/\|/, "\\|", why)
        split("error warning unverified note", names, " ")
        for (i = 1; i <= 4; i++)
            if (index(text, "role=\"" names[i] "\"")) levels = levels (levels == "" ? "" : ", ") names[i]
        printf "| `%s` | %s | %s | %s |\n", id, levels, inside("<title>", "</title>"), why
    }' "$1"
}

{
    echo "# The checks"
    echo
    echo "Every check with the levels it can give. \`prearc explain ID\` tells the whole of why, what to do and the sources. This"
    echo "page is made from the files in \`rules/checks\` by \`make check TESTS=tests/catalogue.sh UPDATE=1\`."
    echo
    echo "| check | levels | what it finds | why |"
    echo "|---|---|---|---|"
    for sheet in "$top_srcdir"/rules/checks/*.sch; do row "$sheet"; done
} >"$work/page"

[ "${UPDATE:-}" = 1 ] && cp "$work/page" "$page"
if ! diff -u "$page" "$work/page"; then
    echo "FAIL rules/CATALOGUE.md is not what the checks say"
    exit 1
fi
rows=$(grep -c '^| `' "$page")
[ "$rows" = "$(ls "$top_srcdir"/rules/checks/*.sch | wc -l)" ] || { echo "FAIL $rows rows"; exit 1; }
echo "rules/CATALOGUE.md lists $rows checks"
