/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700
#include "drafts.h"

#include <ftw.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/text.h"

static char folder[64];

const char *support_source(const char *relative, char path[SUPPORT_PATH_BYTES])
{
    const char *top = getenv("SEEDBREAK_SOURCE");
    snprintf(path, SUPPORT_PATH_BYTES, "%s/%s", top != NULL ? top : ".", relative);
    return path;
}

bool support_reference(const char *relative, char path[SUPPORT_PATH_BYTES])
{
    const char *top = getenv("SEEDBREAK_REFERENCE");
    char beside[SUPPORT_PATH_BYTES];
    snprintf(path, SUPPORT_PATH_BYTES, "%s/%s",
             top != NULL ? top : support_source("../shared/reference", beside), relative);
    return access(path, R_OK) == 0;
}

const char *support_folder(void)
{
    if (folder[0] == '\0') {
        snprintf(folder, sizeof folder, P_tmpdir "/seedbreak-test-XXXXXX");
        if (mkdtemp(folder) == NULL)
            folder[0] = '\0';
    }
    return folder;
}

static int remove_one(const char *path, const struct stat *info, int flag, struct FTW *walk)
{
    (void)info, (void)flag, (void)walk;
    return remove(path);
}

void support_folder_remove(void)
{
    if (folder[0] != '\0')
        nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
    folder[0] = '\0';
}

const char *support_file(const char *name, const char *bytes, size_t n,
                         char path[SUPPORT_PATH_BYTES])
{
    snprintf(path, SUPPORT_PATH_BYTES, "%s/%s", support_folder(), name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, n, file), n);
    assert_int_equal(fclose(file), 0);
    return path;
}

support_reading support_read(const char *const *paths, size_t n, const sb_read_options *options)
{
    support_reading reading = {.report = sb_report_new()};
    assert_int_equal(sb_draft_init(&reading.draft), SB_OK);
    reading.status = sb_draft_read(&reading.draft, paths, n, options, reading.report);
    sb_text all = {0};
    sb_text_add(&all, "", 0);
    for (size_t i = 0; i < sb_report_count(reading.report); i++) {
        sb_message message = sb_report_get(reading.report, i);
        sb_text_addf(&all, "%s%zu: %s", i > 0 ? " | " : "", message.line, message.text);
    }
    reading.messages = all.bytes;
    return reading;
}

support_reading support_read_text(const char *name, const char *text)
{
    char path[SUPPORT_PATH_BYTES];
    const char *paths[] = {support_file(name, text, strlen(text), path)};
    return support_read(paths, 1, NULL);
}

void support_reading_release(support_reading *reading)
{
    sb_text messages = {.bytes = reading->messages};
    sb_text_release(&messages);
    sb_report_free(reading->report);
    sb_draft_release(&reading->draft);
}

size_t support_vertices(const sb_draft *draft)
{
    size_t vertices = 0;
    for (size_t i = 0; i < draft->features.count; i++) {
        const sb_feature *feature = &draft->features.items[i];
        for (size_t p = 0; p < feature->parts.count; p++) {
            vertices += feature->parts.items[p].outer.count;
            for (size_t h = 0; h < feature->parts.items[p].n_holes; h++)
                vertices += feature->parts.items[p].holes[h].count;
        }
    }
    return vertices;
}

double support_area_m2(const sb_draft *draft)
{
    double area_m2 = 0;
    for (size_t i = 0; i < draft->features.count; i++)
        for (size_t p = 0; p < draft->features.items[i].parts.count; p++)
            area_m2 += sb_part_area_m2(&draft->features.items[i].parts.items[p]);
    return area_m2;
}

const sb_feature *support_feature(const sb_draft *draft, const char *name)
{
    for (size_t i = 0; i < draft->features.count; i++) {
        const char *its_name = draft->features.items[i].name;
        if (its_name != NULL && strcmp(its_name, name) == 0)
            return &draft->features.items[i];
    }
    return NULL;
}
