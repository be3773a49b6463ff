/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* flock */
#include "write/file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"

static bool is_folder(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

sb_status sb_make_folder(const char *folder, sb_report *report)
{
    char *path = sb_strdup(folder);
    if (path == NULL)
        return SB_ERR_NOMEM;
    sb_status status = SB_OK;
    for (char *end = path + 1; status == SB_OK; end++) {
        bool last = *end == '\0';
        if (!last && *end != '/')
            continue;
        *end = '\0';
        if (mkdir(path, 0777) != 0 && !(errno == EEXIST && is_folder(path)))
            status = sb_bad_system(report, path, "cannot make this folder");
        if (last)
            break;
        *end = '/';
    }
    sb_free(path);
    return status;
}

static bool write_all(int file, const char *bytes, size_t n)
{
    while (n > 0) {
        ssize_t written = write(file, bytes, n);
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        bytes += written;
        n -= (size_t)written;
    }
    return true;
}

void sb_sync_folder(const char *folder)
{
    int handle = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle < 0)
        return;
    (void)fsync(handle);
    (void)close(handle);
}

/* ".plan.json.1234-0" */
static bool is_temporary_of(const char *entry, const char *name)
{
    size_t n = strlen(name);
    if (entry[0] != '.' || strncmp(entry + 1, name, n) != 0 || entry[n + 1] != '.')
        return false;
    const char *process = entry + n + 2;
    size_t digits = strspn(process, "0123456789");
    const char *attempt = process + digits + 1;
    return digits > 0 && process[digits] == '-' && *attempt != '\0' &&
           attempt[strspn(attempt, "0123456789")] == '\0';
}

/* Removes what a killed process left behind. Whoever still writes a temporary file holds a lock on
 * it, which the system takes back when the process ends, however it ends. */
static void remove_strays(const char *folder, const char *name)
{
    DIR *listing = opendir(folder);
    if (listing == NULL)
        return;
    for (struct dirent *entry; (entry = readdir(listing)) != NULL;) {
        if (!is_temporary_of(entry->d_name, name))
            continue;
        int file = openat(dirfd(listing), entry->d_name, O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
        if (file < 0)
            continue;
        if (flock(file, LOCK_EX | LOCK_NB) == 0)
            (void)unlinkat(dirfd(listing), entry->d_name, 0);
        (void)close(file);
    }
    (void)closedir(listing);
}

/* Opens a new file beside the one to be written, under a name nobody uses, and locks it; -1 with
 * errno set. Some network file systems know no locks: then nobody takes it for a stray either. */
static int open_temporary(const char *folder, const char *name, sb_text *path)
{
    for (int attempt = 0; attempt < 1000; attempt++) {
        sb_text_clear(path);
        sb_text_addf(path, "%s/.%s.%ld-%d", folder, name, (long)getpid(), attempt);
        if (path->failed) {
            errno = ENOMEM;
            return -1;
        }
        int file = open(path->bytes, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (file < 0 && errno == EEXIST)
            continue;
        struct stat info;
        if (file < 0 || flock(file, LOCK_EX) != 0 || fstat(file, &info) != 0 || info.st_nlink > 0)
            return file;
        (void)close(file); /* taken for a stray between the open and the lock */
    }
    return -1;
}

sb_status sb_file_prepare(sb_prepared_file *file, const char *folder, const char *name,
                          const char *bytes, size_t n, sb_report *report)
{
    *file = (sb_prepared_file){.handle = -1, .folder = folder};
    sb_text_addf(&file->path, "%s/%s", folder, name);
    if (file->path.failed)
        return SB_ERR_NOMEM;
    remove_strays(folder, name);
    file->handle = open_temporary(folder, name, &file->temporary);
    if (file->temporary.failed)
        return SB_ERR_NOMEM;
    if (file->handle < 0 || !write_all(file->handle, bytes, n) || fsync(file->handle) != 0)
        return sb_bad_system(report, file->path.bytes, "cannot write this file");
    return SB_OK;
}

sb_status sb_file_place(sb_prepared_file *file, sb_report *report)
{
    if (rename(file->temporary.bytes, file->path.bytes) != 0)
        return sb_bad_system(report, file->path.bytes, "cannot write this file");
    /* All is on the disk since fsync, so close has nothing left to say. */
    (void)close(file->handle);
    file->handle = -1;
    sb_sync_folder(file->folder);
    return SB_OK;
}

void sb_file_release(sb_prepared_file *file)
{
    if (file->handle >= 0) {
        (void)unlink(file->temporary.bytes);
        (void)close(file->handle);
    }
    sb_text_release(&file->path);
    sb_text_release(&file->temporary);
    file->handle = -1;
}

sb_status sb_write_file(const char *folder, const char *name, const char *bytes, size_t n,
                        sb_report *report)
{
    sb_prepared_file file;
    sb_status status = sb_file_prepare(&file, folder, name, bytes, n, report);
    if (status == SB_OK)
        status = sb_file_place(&file, report);
    sb_file_release(&file);
    return status;
}

sb_status sb_write_set(const sb_file_set *set, const char *folder, sb_report *report)
{
    sb_prepared_file files[SB_MOST_FILES];
    sb_text text = {0};
    size_t prepared = 0;
    sb_status status = sb_make_folder(folder, report);
    for (; status == SB_OK && prepared < set->n; prepared++) {
        sb_text_clear(&text);
        status = set->render(set->context, prepared, &text);
        if (status != SB_OK)
            break;
        status = sb_file_prepare(&files[prepared], folder, set->names[prepared], text.bytes,
                                 text.count, report);
    }
    for (size_t i = 0; status == SB_OK && i < set->n; i++)
        status = sb_file_place(&files[i], report);
    for (size_t i = 0; i < prepared; i++)
        sb_file_release(&files[i]);
    sb_text_release(&text);
    return status;
}
