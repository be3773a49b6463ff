/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "read/archive.h"

#include <errno.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <zip.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/document.h"

#define RATIO_FREE_BYTES ((size_t)1 << 20) /* small files may pack as well as they like */

/* One entry on its way out. */
typedef struct entry {
    zip_t *zip;
    zip_uint64_t index;
    zip_file_t *stream;
    size_t packed_bytes, claimed_bytes, inflated_bytes;
} entry;

/* libzip 1.7 takes an archive for broken when it finds no memory to open it, and leaks when it
 * finds none to open an entry: so we see first that there is some. */
#define ENTRY_ROOM_BYTES ((size_t)1 << 20) /* inflating takes some 40 KB and a buffer */
#define DIRECTORY_SHARE 4 /* of an entry: 46 bytes in the file, some 130 in memory */

#define ZLIB_NO_MEMORY (-4) /* Z_MEM_ERROR of zlib.h */

static bool no_memory(zip_error_t *error)
{
    int code = zip_error_code_zip(error), deeper = zip_error_code_system(error);
    return code == ZIP_ER_MEMORY || (code == ZIP_ER_ZLIB && deeper == ZLIB_NO_MEMORY) ||
           (zip_error_system_type(error) == ZIP_ET_SYS && deeper == ENOMEM);
}

/* What stopped an entry: memory, which sb_source_failed knows by errno, or else its bytes. */
static void tell_fault(sb_source *source, zip_error_t *error)
{
    if (no_memory(error))
        errno = ENOMEM;
    else
        source->fault = "broken archive, expected an entry that can be inflated";
}

static long entry_read(sb_source *source, char *bytes, size_t n)
{
    entry *e = source->stream;
    zip_int64_t got = zip_fread(e->stream, bytes, n);
    if (got < 0) {
        tell_fault(source, zip_file_get_error(e->stream));
        return -1;
    }
    e->inflated_bytes += (size_t)got;
    if (e->inflated_bytes > SB_ARCHIVE_MAX_BYTES) {
        source->fault = "archive entry inflates beyond 200 MB, expected at most that much";
        return -1;
    }
    if (e->inflated_bytes > RATIO_FREE_BYTES &&
        e->inflated_bytes / SB_ARCHIVE_MAX_RATIO > e->packed_bytes) {
        source->fault = "archive entry inflates to more than 200 times its size, expected less";
        return -1;
    }
    if (got == 0 && e->inflated_bytes != e->claimed_bytes) {
        source->fault = "archive entry inflates to another size than it claims, expected the same";
        return -1;
    }
    return (long)got;
}

static bool entry_rewind(sb_source *source)
{
    entry *e = source->stream;
    if (e->stream != NULL)
        zip_fclose(e->stream);
    e->stream = NULL;
    e->inflated_bytes = 0;
    if (!sb_mem_room(ENTRY_ROOM_BYTES)) {
        errno = ENOMEM;
        return false;
    }
    e->stream = zip_fopen_index(e->zip, e->index, 0);
    if (e->stream == NULL)
        tell_fault(source, zip_get_error(e->zip));
    return e->stream != NULL;
}

static void entry_close(sb_source *source)
{
    entry *e = source->stream;
    if (e->stream != NULL)
        zip_fclose(e->stream);
    sb_free(e);
}

/* @return false: out of memory */
static bool entry_open(zip_t *zip, zip_uint64_t index, const char *path, sb_source *source)
{
    zip_stat_t info;
    zip_stat_init(&info);
    entry *e = sb_alloc(1, sizeof *e);
    if (e == NULL) {
        errno = ENOMEM;
        return false;
    }
    zip_stat_index(zip, index, 0, &info);
    *e = (entry){zip, index, NULL, (size_t)info.comp_size, (size_t)info.size, 0};
    *source = (sb_source){path, e, entry_read, entry_rewind, entry_close, NULL};
    return true;
}

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash != NULL ? slash + 1 : path;
}

static bool open_beside(sb_container *container, const char *name, const char *path,
                        sb_source *source)
{
    zip_t *zip = container->archive;
    size_t folder = (size_t)(base_name(container->place) - container->place);
    zip_int64_t n = zip_get_num_entries(zip, 0);
    errno = ENOENT;
    for (zip_int64_t i = 0; i < n; i++) {
        const char *entry_name = zip_get_name(zip, (zip_uint64_t)i, 0);
        if (entry_name == NULL && no_memory(zip_get_error(zip))) {
            errno = ENOMEM;
            return false;
        }
        if (entry_name != NULL && strncmp(entry_name, container->place, folder) == 0 &&
            strcasecmp(entry_name + folder, name) == 0)
            return entry_open(zip, (zip_uint64_t)i, path, source);
    }
    return false;
}

static bool ends_with(const char *name, const char *end)
{
    size_t n = strlen(name), n_end = strlen(end);
    return n >= n_end && strcasecmp(name + n - n_end, end) == 0;
}

/* Names that reach out of a folder have no honest use, even though nothing is unpacked. */
static bool is_trick(const char *name)
{
    return name[0] == '/' || strchr(name, '\\') != NULL || strchr(name, ':') != NULL ||
           strcmp(name, "..") == 0 || strncmp(name, "../", 3) == 0 ||
           strstr(name, "/../") != NULL || ends_with(name, "/..");
}

typedef struct choice {
    zip_int64_t taskdata, doc_kml, first_kml;
    size_t n_kml;
} choice;

static sb_status look_through(zip_t *zip, const char *file, sb_report *report, choice *found)
{
    *found = (choice){-1, -1, -1, 0};
    zip_int64_t n = zip_get_num_entries(zip, 0);
    if (n > SB_ARCHIVE_MAX_ENTRIES)
        return sb_bad(report, file, 0, "archive of %lld entries, expected at most %d", (long long)n,
                      SB_ARCHIVE_MAX_ENTRIES);
    for (zip_int64_t i = 0; i < n; i++) {
        const char *name = zip_get_name(zip, (zip_uint64_t)i, 0);
        char excerpt[SB_EXCERPT_BYTES];
        if (name == NULL && no_memory(zip_get_error(zip)))
            return SB_ERR_NOMEM;
        if (name == NULL)
            continue;
        if (is_trick(name))
            return sb_bad(report, file, 0, "archive entry '%s', expected a name inside the archive",
                          sb_excerpt(name, excerpt));
        if (found->taskdata < 0 && strcasecmp(base_name(name), "TASKDATA.XML") == 0)
            found->taskdata = i;
        if (strcmp(name, "doc.kml") == 0)
            found->doc_kml = i;
        if (ends_with(name, ".kml")) {
            found->first_kml = found->n_kml == 0 ? i : found->first_kml;
            found->n_kml++;
        }
    }
    return SB_OK;
}

/* What the directory says of an entry; lies are caught while it inflates. */
static sb_status check_entry(zip_t *zip, zip_uint64_t index, const char *path, sb_report *report)
{
    zip_stat_t info;
    zip_stat_init(&info);
    if (zip_stat_index(zip, index, 0, &info) != 0 && no_memory(zip_get_error(zip)))
        return SB_ERR_NOMEM;
    if ((info.valid & ZIP_STAT_SIZE) == 0)
        return sb_bad(report, path, 0, "broken archive, expected an entry with a size");
    if (info.encryption_method != ZIP_EM_NONE)
        return sb_bad(report, path, 0, "encrypted archive entry, expected an open one");
    if (info.comp_method != ZIP_CM_STORE && info.comp_method != ZIP_CM_DEFLATE)
        return sb_bad(report, path, 0,
                      "archive entry packed by method %u, expected 0 (stored) or 8 (deflated)",
                      (unsigned)info.comp_method);
    if (info.size > SB_ARCHIVE_MAX_BYTES)
        return sb_bad(report, path, 0, "archive entry of %llu bytes, expected at most %zu MB",
                      (unsigned long long)info.size, SB_ARCHIVE_MAX_BYTES >> 20);
    return SB_OK;
}

static sb_status read_entry(sb_draft *draft, zip_t *zip, zip_uint64_t index, const char *file,
                            sb_report *report)
{
    const char *name = zip_get_name(zip, index, 0);
    sb_text joined = {0};
    sb_text_addf(&joined, "%s/%s", file, name);
    const char *path = joined.failed ? NULL : sb_draft_file(draft, joined.bytes);
    sb_text_release(&joined);
    if (path == NULL)
        return SB_ERR_NOMEM;
    sb_status status = check_entry(zip, index, path, report);
    if (status != SB_OK)
        return status;
    sb_source source;
    if (!entry_open(zip, index, path, &source))
        return SB_ERR_NOMEM;
    sb_container beside = {zip, name, open_beside};
    status = sb_document_read(draft, &source, &beside, report);
    source.close(&source);
    return status;
}

/* The directory is read whole, and an archive may be little else. */
static bool has_room(const char *file)
{
    struct stat info;
    size_t bytes = stat(file, &info) == 0 ? (size_t)info.st_size : 0;
    return sb_mem_room(ENTRY_ROOM_BYTES + DIRECTORY_SHARE * bytes);
}

sb_status sb_archive_read(sb_draft *draft, const char *file, sb_report *report)
{
    if (!has_room(file))
        return SB_ERR_NOMEM;
    int error = 0;
    zip_t *zip = zip_open(file, ZIP_RDONLY | ZIP_CHECKCONS, &error);
    if (zip == NULL) {
        zip_error_t reason;
        zip_error_init_with_code(&reason, error);
        sb_status status = no_memory(&reason)
                               ? SB_ERR_NOMEM
                               : sb_bad(report, file, 0, "broken archive, expected a ZIP: %s",
                                        zip_error_strerror(&reason));
        zip_error_fini(&reason);
        return status;
    }
    choice found;
    sb_status status = look_through(zip, file, report, &found);
    if (status != SB_OK)
        goto out;
    zip_int64_t chosen = found.taskdata >= 0  ? found.taskdata
                         : found.doc_kml >= 0 ? found.doc_kml
                                              : found.first_kml;
    if (chosen < 0) {
        status = sb_bad(report, file, 0,
                        "archive without fields, expected a .kml or TASKDATA.XML in it");
        goto out;
    }
    if (found.taskdata < 0 && found.n_kml > 1)
        sb_say(report, SB_WARNING, file, 0,
               "archive with %zu .kml files, expected one: only %s is read", found.n_kml,
               zip_get_name(zip, (zip_uint64_t)chosen, 0));
    status = read_entry(draft, zip, (zip_uint64_t)chosen, file, report);
out:
    zip_discard(zip);
    return status;
}
