# Every command listed explains itself, with an example, in 80 columns.
seedbreak --help >help.txt
for command in $(sed -n 's/^  \([a-z]\{1,\}\)  .*/\1/p' help.txt); do
    seedbreak "$command" --help >"$command.txt"
    head -n 1 "$command.txt" | cut -d ' ' -f 1-3
    grep -c '^example: seedbreak' "$command.txt"
    seedbreak "$command" -h | cmp - "$command.txt"
done
awk 'length > 80 { print FILENAME ": " $0 }' ./*.txt
