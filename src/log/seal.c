/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The chain of seals: each entry's builds on the one before, so that changing, dropping or moving
 * an entry breaks every seal from there on. */
#include <nettle/sha2.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "log/log.h"

static void write_digest(struct sha256_ctx *context, char seal[SB_SEAL_LENGTH + 1])
{
    static const char digits[] = "0123456789abcdef";
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_digest(context, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++) {
        seal[2 * i] = digits[digest[i] >> 4];
        seal[2 * i + 1] = digits[digest[i] & 15];
    }
    seal[SB_SEAL_LENGTH] = '\0';
}

void sb_log_first_seal(char seal[SB_SEAL_LENGTH + 1])
{
    struct sha256_ctx context;
    sha256_init(&context);
    sha256_update(&context, sizeof SB_LOG_NAMESPACE - 1, (const uint8_t *)SB_LOG_NAMESPACE);
    write_digest(&context, seal);
}

static int compare_words(const void *a, const void *b)
{
    return strcmp((*(const sb_word *const *)a)->key, (*(const sb_word *const *)b)->key);
}

/* Lengths go in as well: no two lists of words make the same text. */
static void add_text(sb_text *text, const char *what)
{
    sb_text_addf(text, "%zu:%s\n", strlen(what), what);
}

sb_status sb_log_seal(const char *seal_before, const sb_log_entry *entry,
                      char seal[SB_SEAL_LENGTH + 1])
{
    size_t n = entry->words.count;
    const sb_word **sorted = sb_alloc(n, sizeof *sorted);
    if (sorted == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < n; i++)
        sorted[i] = &entry->words.items[i];
    if (n > 0)
        qsort(sorted, n, sizeof *sorted, compare_words);
    sb_text text = {0};
    add_text(&text, seal_before);
    add_text(&text, sb_log_kind_name(entry->kind));
    sb_text_addf(&text, "%ld\n", entry->number);
    for (size_t i = 0; i < n; i++) {
        add_text(&text, sorted[i]->key);
        add_text(&text, sorted[i]->value);
    }
    sb_free(sorted);
    sb_status status = text.failed ? SB_ERR_NOMEM : SB_OK;
    if (status == SB_OK) {
        struct sha256_ctx context;
        sha256_init(&context);
        sha256_update(&context, text.count, (const uint8_t *)text.bytes);
        write_digest(&context, seal);
    }
    sb_text_release(&text);
    return status;
}
