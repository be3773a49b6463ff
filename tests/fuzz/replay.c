/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs a harness over the files of the folders named, in order; a broken property aborts. */
#define _POSIX_C_SOURCE 200809L
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"

static int is_file(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

static void replay(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    HOLDS(file != NULL);
    sb_text all = {0};
    char chunk[4096];
    for (size_t got; (got = fread(chunk, 1, sizeof chunk, file)) > 0;)
        sb_text_add(&all, chunk, got);
    fclose(file);
    LLVMFuzzerTestOneInput((const uint8_t *)sb_text_get(&all), all.count);
    sb_text_release(&all);
}

int main(int argc, char **argv)
{
    int n_files = 0;
    for (int i = 1; i < argc; i++) {
        struct dirent **entries = NULL;
        int n = scandir(argv[i], &entries, is_file, alphasort);
        if (n < 0) {
            fprintf(stderr, "%s: cannot be listed\n", argv[i]);
            return 1;
        }
        for (int k = 0; k < n; k++) {
            replay(argv[i], entries[k]->d_name);
            free(entries[k]);
        }
        free(entries);
        n_files += n;
    }
    printf("%d files, every property holds\n", n_files);
    return n_files > 0 ? 0 : 1;
}
