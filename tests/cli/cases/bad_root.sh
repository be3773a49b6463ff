echo '<html><body/></html>' >page.xml
seedbreak check page.xml
