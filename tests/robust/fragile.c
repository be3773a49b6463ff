/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* RTLD_NEXT */
#include "fragile.h"

#include <dlfcn.h>

#include <geos_c.h>
#include <jansson.h>
#include <libxml/parser.h>
#include <libxml/relaxng.h>
#include <zip.h>

void (*fragile_spare)(bool on);

/* The library's own function behind the one of that name here. */
#define FIND(original, name) (*(void **)&(original) = dlsym(RTLD_NEXT, name))

GEOSContextHandle_t GEOS_init_r(void)
{
    GEOSContextHandle_t (*original)(void);
    fragile_spare(true);
    FIND(original, "GEOS_init_r");
    GEOSContextHandle_t context = original();
    fragile_spare(false);
    return context;
}

xmlDocPtr xmlCtxtReadMemory(xmlParserCtxtPtr parser, const char *bytes, int n, const char *url,
                            const char *encoding, int options)
{
    xmlDocPtr (*original)(xmlParserCtxtPtr, const char *, int, const char *, const char *, int);
    fragile_spare(true);
    FIND(original, "xmlCtxtReadMemory");
    xmlDocPtr tree = original(parser, bytes, n, url, encoding, options);
    fragile_spare(false);
    return tree;
}

xmlRelaxNGPtr xmlRelaxNGParse(xmlRelaxNGParserCtxtPtr reader)
{
    xmlRelaxNGPtr (*original)(xmlRelaxNGParserCtxtPtr);
    fragile_spare(true);
    FIND(original, "xmlRelaxNGParse");
    xmlRelaxNGPtr schema = original(reader);
    fragile_spare(false);
    return schema;
}

int xmlRelaxNGValidateDoc(xmlRelaxNGValidCtxtPtr validator, xmlDocPtr tree)
{
    int (*original)(xmlRelaxNGValidCtxtPtr, xmlDocPtr);
    fragile_spare(true);
    FIND(original, "xmlRelaxNGValidateDoc");
    int verdict = original(validator, tree);
    fragile_spare(false);
    return verdict;
}

json_t *json_loadf(FILE *file, size_t flags, json_error_t *error)
{
    json_t *(*original)(FILE *, size_t, json_error_t *);
    fragile_spare(true);
    FIND(original, "json_loadf");
    json_t *root = original(file, flags, error);
    fragile_spare(false);
    return root;
}

zip_t *zip_open(const char *file, int flags, int *error)
{
    zip_t *(*original)(const char *, int, int *);
    fragile_spare(true);
    FIND(original, "zip_open");
    zip_t *zip = original(file, flags, error);
    fragile_spare(false);
    return zip;
}

zip_file_t *zip_fopen_index(zip_t *zip, zip_uint64_t index, zip_flags_t flags)
{
    zip_file_t *(*original)(zip_t *, zip_uint64_t, zip_flags_t);
    fragile_spare(true);
    FIND(original, "zip_fopen_index");
    zip_file_t *file = original(zip, index, flags);
    fragile_spare(false);
    return file;
}
