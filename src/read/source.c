/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "read/source.h"

#include <errno.h>
#include <stdio.h>
#include <sys/stat.h>

#include "base/report.h"

static long file_read(sb_source *source, char *bytes, size_t n)
{
    size_t got = fread(bytes, 1, n, source->stream);
    return got == 0 && ferror((FILE *)source->stream) ? -1 : (long)got;
}

static bool file_rewind(sb_source *source)
{
    return fseek(source->stream, 0, SEEK_SET) == 0;
}

static void file_close(sb_source *source)
{
    fclose(source->stream);
}

sb_status sb_source_open(sb_source *source, const char *path, sb_report *report)
{
    struct stat info;
    if (stat(path, &info) != 0)
        return sb_bad_system(report, path, "cannot read");
    if (!S_ISREG(info.st_mode))
        return sb_bad(report, path, 0, "not a file, expected a field, scouting or season file");
    *source = (sb_source){path, fopen(path, "rb"), file_read, file_rewind, file_close, NULL};
    return source->stream != NULL ? SB_OK : sb_bad_system(report, path, "cannot read");
}

sb_status sb_source_failed(const sb_source *source, sb_report *report)
{
    return source->fault != NULL ? sb_bad(report, source->name, 0, "%s", source->fault)
                                 : sb_bad_system(report, source->name, "cannot read");
}

static bool open_beside(sb_container *container, const char *name, const char *path,
                        sb_source *source)
{
    (void)container, (void)name;
    *source = (sb_source){path, fopen(path, "rb"), file_read, file_rewind, file_close, NULL};
    return source->stream != NULL;
}

sb_container sb_container_of_file(const char *path)
{
    return (sb_container){NULL, path, open_beside};
}

long sb_source_fill(sb_source *source, char *bytes, size_t n)
{
    size_t filled = 0;
    while (filled < n) {
        long got = source->read(source, bytes + filled, n - filled);
        if (got < 0)
            return -1;
        if (got == 0)
            break;
        filled += (size_t)got;
    }
    return (long)filled;
}
