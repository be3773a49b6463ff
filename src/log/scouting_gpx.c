/* SPDX-License-Identifier: GPL-3.0-or-later */
/* scouting.gpx: where to walk next spring, worst first (GPX 1.1). Receivers cut names at 10
 * characters, so names are short codes and the rest stands in the description. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "log/record.h"
#include "write/words.h"
#include "write/xml_out.h"

typedef struct strip {
    int field;
    double loss; /* money expected to be lost from what was brought */
} strip;

static int worst_first(const void *a, const void *b)
{
    const strip *one = a, *other = b;
    if (one->loss != other->loss)
        return one->loss > other->loss ? -1 : 1;
    return one->field < other->field ? -1 : one->field > other->field;
}

static size_t find_strips(const sb_log_state *state, strip *strips)
{
    const sb_season *season = state->season;
    size_t n = 0;
    for (size_t i = 0; i < season->n_fields; i++) {
        strip made = {(int)i, 0};
        double seeds = 0;
        for (size_t w = 0; w < season->setup.n_weeds; w++) {
            double brought = sb_ledger_brought(&state->ledger, (int)i, (int)w);
            seeds += brought;
            made.loss += brought * season->fields[i].loss_per_seed[w];
        }
        if (seeds >= SB_SEEDS_TOLD)
            strips[n++] = made;
    }
    if (n > 0)
        qsort(strips, n, sizeof *strips, worst_first);
    return n;
}

static void describe(const sb_log_state *state, const strip *made, sb_text *text)
{
    const sb_season *season = state->season;
    const sb_field_state *field = &state->fields[made->field];
    sb_text_addf(text, "%s: ", season->fields[made->field].name);
    if (field->strip_m > 0) {
        sb_text_addf(text, "walk the first pass, ");
        sb_words_metres(text, field->strip_m);
        sb_text_addf(text, " from the entry; ");
    }
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        double brought = sb_ledger_brought(&state->ledger, made->field, (int)w);
        if (brought < SB_SEEDS_TOLD)
            continue;
        sb_text_addf(text, "%s ", season->setup.weeds[w].name);
        sb_words_some_seeds(text, brought);
        sb_text_addf(text, ", ");
    }
    sb_text_addf(text, "expected loss ");
    sb_words_money(text, season, made->loss);
    if (field->machine >= 0)
        sb_text_addf(text, "; cut by %s, log entry %ld", season->setup.machines[field->machine].id,
                     state->log->entries.items[field->entry].number);
}

sb_status sb_render_scouting_gpx(const sb_log_state *state, sb_text *text)
{
    strip *strips = sb_alloc(state->season->n_fields, sizeof *strips);
    sb_xml_out *out = sb_xml_out_new();
    if (strips == NULL || out == NULL) {
        sb_free(strips);
        sb_text unused = {0};
        if (out != NULL)
            (void)sb_xml_out_finish(out, &unused);
        sb_text_release(&unused);
        return SB_ERR_NOMEM;
    }
    size_t n = find_strips(state, strips);
    sb_xml_open(out, "gpx");
    sb_xml_attribute(out, "xmlns", "http://www.topografix.com/GPX/1/1");
    sb_xml_attribute(out, "version", "1.1");
    sb_xml_attribute(out, "creator", "seedbreak");
    for (size_t i = 0; i < n; i++) {
        sb_text name = {0}, description = {0};
        sb_text_addf(&name, "WALK%02zu", i + 1);
        describe(state, &strips[i], &description);
        sb_xml_open(out, "wpt");
        sb_xml_lat_lon(out, state->season->fields[strips[i].field].place);
        sb_xml_element(out, "name", sb_text_get(&name));
        sb_xml_element(out, "desc", sb_text_get(&description));
        sb_xml_close(out);
        sb_xml_release(out, &name);
        sb_xml_release(out, &description);
    }
    sb_xml_close(out);
    sb_free(strips);
    return sb_xml_out_finish(out, text);
}
