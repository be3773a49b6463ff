/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Growers with fields, and whose each field is. */
#include "base/mem.h"
#include "settle/parts.h"

#define NO_GROWER "no grower named"

/* The parties numbered: by grower of the season, the last for fields that name none; -1: no field.
 * Returns how many there are. */
static int number_parties(const sb_season *season, int *party_of_grower)
{
    for (size_t g = 0; g <= season->n_growers; g++)
        party_of_grower[g] = -1;
    for (size_t i = 0; i < season->n_fields; i++) {
        int grower = season->fields[i].grower;
        party_of_grower[grower < 0 ? (int)season->n_growers : grower] = 0;
    }
    int n = 0;
    for (size_t g = 0; g <= season->n_growers; g++)
        if (party_of_grower[g] >= 0)
            party_of_grower[g] = n++;
    return n;
}

static bool name_parties(const sb_season *season, const int *party_of_grower, sb_party *parties)
{
    for (size_t g = 0; g <= season->n_growers; g++)
        if (party_of_grower[g] >= 0 &&
            !sb_copy_text(&parties[party_of_grower[g]].name,
                          g < season->n_growers ? season->growers[g] : NO_GROWER))
            return false;
    return true;
}

sb_status sb_settle_parties(const sb_season *season, sb_settlement *settlement)
{
    sb_status status = SB_ERR_NOMEM;
    int *party_of_grower = sb_alloc(season->n_growers + 1, sizeof *party_of_grower);
    settlement->party_of = sb_alloc(season->n_fields, sizeof *settlement->party_of);
    if (party_of_grower == NULL || settlement->party_of == NULL)
        goto out;
    size_t n = (size_t)number_parties(season, party_of_grower);
    settlement->parties = sb_alloc(n, sizeof *settlement->parties);
    if (settlement->parties == NULL)
        goto out;
    settlement->n_parties = n;
    settlement->n_weeds = season->setup.n_weeds;
    if (!name_parties(season, party_of_grower, settlement->parties))
        goto out;
    for (size_t i = 0; i < season->n_fields; i++) {
        const sb_field *field = &season->fields[i];
        int party = party_of_grower[field->grower < 0 ? (int)season->n_growers : field->grower];
        settlement->party_of[i] = party;
        settlement->parties[party].n_fields++;
        settlement->parties[party].area_ha += field->area_ha;
    }
    status = SB_OK;
out:
    sb_free(party_of_grower);
    return status;
}

void sb_settle_hectares(const sb_season *season, const sb_settlement *settlement,
                        const sb_route *route, double *share)
{
    double all_ha = 0;
    for (size_t p = 0; p < settlement->n_parties; p++)
        share[p] = 0;
    for (size_t i = 0; i < route->n_stops; i++)
        all_ha += season->fields[route->stops[i].field].area_ha;
    for (size_t i = 0; i < route->n_stops; i++) {
        int field = route->stops[i].field;
        share[settlement->party_of[field]] += season->fields[field].area_ha / all_ha;
    }
}
